"""A test server that speaks the XML of the open MTConnect standard: probe, current, sample.

Written from memory of ANSI/MTC1.4: namespaces, header attributes, sequence numbers in a bounded
buffer, UNAVAILABLE before a value is known, an error document for a sequence out of range.
"""

from __future__ import annotations

import threading
from collections import deque
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import TracebackType
from typing import Self
from urllib.parse import parse_qs, urlsplit
from xml.sax.saxutils import escape, quoteattr

ITEMS = (
    ("load1", "S1load", "LOAD", "Samples", "Load"),
    ("rpm1", "S1speed", "ROTARY_VELOCITY", "Samples", "RotaryVelocity"),
    ("msg", "", "MESSAGE", "Events", "Message"),
    ("sys", "system", "SYSTEM", "Condition", "System"),
)


class Agent:
    """Use it in a ``with``; `observe` values, and break it in the ways that agents break.

    Args:
        version: of the standard, in the namespace.
        buffer: observations that are kept.
    """

    def __init__(self, *, version: str = "1.4", buffer: int = 100) -> None:
        self.version = version
        self.instance = 1
        self.answer: bytes | None = None  # instead of any document
        self.dead = False
        self.questions: list[str] = []
        self._lock = threading.Lock()
        self._buffer: deque[tuple[int, str, str, str]] = deque(maxlen=buffer)
        self._size = buffer
        self._next = 1
        self._now: dict[str, tuple[int, str, str, str]] = {}
        self.restart(instance=1)
        agent = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_GET(self) -> None:
                agent.questions.append(self.path)
                if agent.dead:
                    self.close_connection = True
                    return
                status, body = agent.reply(self.path)
                self.send_response(status)
                self.send_header("Content-Type", "text/xml")
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_: object) -> None:
                """Tests say what they want to say."""

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._server.daemon_threads = False
        self.url = f"mtconnect://127.0.0.1:{self._server.server_address[1]}/mill?every=0.02"
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.05,))

    def restart(self, *, instance: int, at: str = "2026-01-31T08:00:00Z") -> None:
        """The agent begins anew: another instance, sequence numbers from 1, nothing known."""
        with self._lock:
            self.instance, self._next = instance, 1
            self._buffer.clear()
            for item, *_ in ITEMS:
                self._add(at, item, "UNAVAILABLE")

    def observe(self, item: str, value: object, at: str) -> None:
        """A value of a data item, at a time."""
        with self._lock:
            self._add(at, item, str(value))

    def _add(self, at: str, item: str, value: str) -> None:
        self._buffer.append((self._next, at, item, value))
        self._now[item] = self._buffer[-1]
        self._next += 1

    # -- documents ------------------------------------------------------------------------------

    def reply(self, path: str) -> tuple[int, bytes]:
        """Status and document for a question."""
        if self.answer is not None:
            return 200, self.answer
        parts = urlsplit(path)
        asked = parse_qs(parts.query)
        device, _, what = parts.path.strip("/").rpartition("/")
        with self._lock:
            if device not in ("", "mill"):
                return self._error("NO_DEVICE", f"Could not find the device {device}")
            if what == "probe":
                return 200, self._document("Devices", self._devices())
            if what == "current":
                return 200, self._streams(sorted(self._now.values()), self._next)
            first = self._buffer[0][0]
            begin, count = int(asked["from"][0]), int(asked["count"][0])
            if not first <= begin <= self._next:
                return self._error("OUT_OF_RANGE", f"'from' must be {first} to {self._next}")
            found = [one for one in self._buffer if one[0] >= begin][:count]
            return 200, self._streams(found, found[-1][0] + 1 if found else self._next)

    def _error(self, code: str, text: str) -> tuple[int, bytes]:
        body = f'<Errors><Error errorCode="{code}">{escape(text)}</Error></Errors>'
        return 404, self._document("Error", body)

    def _document(self, kind: str, body: str, more: str = "") -> bytes:
        name = f"MTConnect{kind}"
        header = (
            f'<Header creationTime="2026-01-31T09:00:00Z" sender="test" version="{self.version}" '
            f'instanceId="{self.instance}" bufferSize="{self._size}"{more}/>'
        )
        space = f"urn:mtconnect.org:{name}:{self.version}"
        return (
            f'<?xml version="1.0" encoding="UTF-8"?><m:{name} xmlns:m="{space}" xmlns="{space}">'
            f"{header}{body}</m:{name}>"
        ).encode()

    def _devices(self) -> str:
        items = "".join(
            f'<DataItem id="{item}" type="{kind}" category="{group.upper().rstrip("S")}"'
            + (f" name={quoteattr(name)}/>" if name else "/>")
            for item, name, kind, group, _ in ITEMS
        )
        return (
            f'<Devices><Device id="d" uuid="u" name="mill"><DataItems>{items}</DataItems></Device>'
            "</Devices>"
        )

    def _streams(self, found: list[tuple[int, str, str, str]], following: int) -> bytes:
        groups: dict[str, str] = {}
        for number, at, item, value in found:
            _, name, kind, group, element = next(one for one in ITEMS if one[0] == item)
            named = f" name={quoteattr(name)}" if name else ""
            attributes = f'dataItemId="{item}"{named} sequence="{number}" timestamp="{at}"'
            if group == "Condition":
                element = value.capitalize()
                attributes, value = f'{attributes} type="{kind}"', ""
            text = f"<{element} {attributes}>{escape(value)}</{element}>"
            groups[group] = groups.get(group, "") + text
        inside = "".join(f"<{group}>{text}</{group}>" for group, text in groups.items())
        body = (
            '<Streams><DeviceStream name="mill" uuid="u"><ComponentStream component="Rotary" '
            f'name="C" componentId="c">{inside}</ComponentStream></DeviceStream></Streams>'
        )
        more = (
            f' firstSequence="{self._buffer[0][0]}" lastSequence="{self._next - 1}" '
            f'nextSequence="{following}"'
        )
        return self._document("Streams", body, more)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.dead = True
        self._server.shutdown()
        self._thread.join()
        self._server.server_close()
