"""Sources of bytes behind one protocol."""

from __future__ import annotations

import re
from urllib.parse import parse_qsl, urlsplit

from trials.errors import InputError
from trials.logger.line_format import LineFormat
from trials.logger.mapping import Mapping
from trials.logger.sources.files import FileSource, ReplaySource
from trials.logger.sources.protocol import Source
from trials.logger.sources.serial_port import SerialSource, ports_found
from trials.logger.sources.tcp import TcpSource
from trials.units import parse_number

__all__ = [
    "FileSource",
    "ReplaySource",
    "SerialSource",
    "Source",
    "TcpSource",
    "open_source",
    "ports_found",
]

_ALLOWED = (
    "serial:/dev/ttyUSB0?baud=9600, a port name, any pyserial URL, tcp://host:port, "
    "csv:file, csv:file?follow=1, replay:file or replay:file?speed=1"
)


def open_source(
    url: str, *, line_format: LineFormat | None = None, mapping: Mapping | None = None
) -> Source:
    """The source that a URL names; it is not opened yet.

    Args:
        url: ``serial:/dev/ttyUSB0?baud=9600``, a plain port name, any pyserial URL (``socket://``,
            ``rfc2217://``, ``loop://``), ``tcp://host:port``, ``csv:path``, ``csv:path?follow=1``,
            ``replay:path`` (a file, or a journal folder), ``replay:path?speed=1``.
        line_format, mapping: needed by a replay of a file at a speed.

    Raises:
        InputError: not a source, or an option that it does not have.
    """
    text = url.strip()
    kind = text.partition(":")[0].casefold()
    if kind == "tcp":
        return _tcp(text)
    path, options = _options(text)
    if kind == "csv":
        _only(text, options, ("follow",))
        return FileSource(
            path.partition(":")[2], follow=options.get("follow", "0") not in ("0", "")
        )
    if kind == "replay":
        _only(text, options, ("speed",))
        speed = parse_number(options.get("speed", "0"), what="speed of the replay")
        return ReplaySource(
            path.partition(":")[2], speed=speed, line_format=line_format, mapping=mapping
        )
    if kind == "serial":
        port = re.sub(r"^serial:(//)?", "", path, flags=re.IGNORECASE)
        return SerialSource(port, **options)
    if re.match(r"^socket://[^/?]+$", text):
        return _tcp("tcp" + text[6:])  # the same bytes, and none of them dropped while opening
    if re.match(r"^(socket|rfc2217|loop|spy|alt|hwgrep|cp2110)://", text):
        return SerialSource(text)
    if re.match(r"^(/dev/|COM\d+|\\\\\.\\)", text, re.IGNORECASE):
        return SerialSource(path, **options)
    raise InputError("source", got=url, allowed=_ALLOWED)


def _tcp(text: str) -> TcpSource:
    try:
        parts = urlsplit(text)
        host, port = parts.hostname or "", parts.port or 0
    except ValueError:
        host, port = "", 0
    if not host or not port or not text.casefold().startswith("tcp://"):
        raise InputError("source", got=text, allowed="tcp://host:port, such as tcp://10.0.0.7:7878")
    return TcpSource(host, port)


def _options(text: str) -> tuple[str, dict[str, str]]:
    path, mark, query = text.rpartition("?")
    if mark and re.fullmatch(r"\w+=[^/\\]*", query):
        return path, dict(parse_qsl(query, keep_blank_values=True))
    return text, {}


def _only(text: str, options: dict[str, str], known: tuple[str, ...]) -> None:
    unknown = sorted(set(options) - set(known))
    if unknown:
        raise InputError(f"source {text}", got=", ".join(unknown),
                         allowed="the options " + ", ".join(known))  # fmt: skip
