"""Sources of bytes behind one protocol."""

from __future__ import annotations

import re
from urllib.parse import parse_qsl, urlsplit

from trials.errors import InputError
from trials.logger.line_format import LineFormat
from trials.logger.mapping import Mapping
from trials.logger.sources.files import FileSource, ReplaySource
from trials.logger.sources.mtconnect import MtconnectSource
from trials.logger.sources.protocol import GapError, Source
from trials.logger.sources.serial_port import SerialSource, ports_found
from trials.logger.sources.shdr_client import ShdrSource
from trials.logger.sources.tcp import TcpSource
from trials.units import parse_number

__all__ = [
    "FileSource",
    "GapError",
    "MtconnectSource",
    "ReplaySource",
    "SerialSource",
    "ShdrSource",
    "Source",
    "TcpSource",
    "open_source",
    "ports_found",
]

_ALLOWED = (
    "serial:/dev/ttyUSB0?baud=9600, a port name, any pyserial URL, tcp://host:port, "
    "shdr://host:7878, mtconnect://host:5000/device, csv:file, csv:file?follow=1, replay:file or "
    "replay:file?speed=1"
)


def open_source(
    url: str, *, line_format: LineFormat | None = None, mapping: Mapping | None = None
) -> Source:
    """The source that a URL names; it is not opened yet.

    Args:
        url: ``serial:/dev/ttyUSB0?baud=9600``, a plain port name, any pyserial URL (``socket://``,
            ``rfc2217://``, ``loop://``), ``tcp://host:port``, ``shdr://host:port`` (with the
            adapter's heartbeat), both with ``?silence=10`` (s) to give up a silent link,
            ``mtconnect://host:port/device?every=0.25`` (s), ``csv:path``, ``csv:path?follow=1``,
            ``replay:path`` (a file, or a journal folder), ``replay:path?speed=1``.
        line_format, mapping: needed by a replay of a file at a speed.

    Raises:
        InputError: not a source, or an option that it does not have.
    """
    text = url.strip()
    kind = text.partition(":")[0].casefold()
    if kind in ("tcp", "shdr"):
        return _tcp(text)
    if kind in ("mtconnect", "mtconnect+https"):
        return _mtconnect(text)
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
    kind, host, port, path, options = _address(text)
    allowed = f"{kind}://host:port, such as {kind}://10.0.0.7:7878"
    if not host or not port or path not in ("", "/"):
        raise InputError("source", got=text, allowed=allowed)
    _only(text, options, ("silence",))
    silence_s = None
    if "silence" in options:
        silence_s = parse_number(options["silence"], what="silence of the link")
    if kind == "shdr":
        return ShdrSource(host, port, silence_s=silence_s)
    return TcpSource(host, port, silence_s=silence_s)


def _mtconnect(text: str) -> MtconnectSource:
    kind, host, port, path, options = _address(text)
    if not host:
        allowed = "mtconnect://host:port or mtconnect://host:port/device"
        raise InputError("source", got=text, allowed=allowed)
    _only(text, options, ("every", "count"))
    numbers = {key: parse_number(value, what=key) for key, value in options.items()}
    return MtconnectSource(
        host, port or 5000, device=path.strip("/"), secure=kind.endswith("https"),
        every_s=numbers.get("every", 0.25), count=int(numbers.get("count", 1000)),
    )  # fmt: skip


def _address(text: str) -> tuple[str, str, int, str, dict[str, str]]:
    """Kind, host, port, path and options; no host when the text is none of this kind."""
    try:
        parts = urlsplit(text)
        options = dict(parse_qsl(parts.query, keep_blank_values=True))
        return parts.scheme.casefold(), parts.hostname or "", parts.port or 0, parts.path, options
    except ValueError:
        return text.partition(":")[0].casefold(), "", 0, "", {}


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
