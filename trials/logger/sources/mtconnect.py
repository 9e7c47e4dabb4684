"""An MTConnect agent over HTTP, asked with sequence numbers, so that a short break is refilled."""

from __future__ import annotations

import http.client
import re
import time
from collections import Counter
from urllib.parse import quote

from trials.errors import InputError, SourceError, require
from trials.logger.sources.mtconnect_xml import LARGEST_BYTES, Document, Observation, parse
from trials.logger.sources.protocol import GapError

REQUEST_TIMEOUT_S = 2.0
PATIENCE_S = 60.0
_ANEW = "the agent was started anew; what came between is not known"
_LONGEST_WAIT_S = 2.0
_PIECE_BYTES = 1 << 16
_ANSWER_END = re.compile(rb"\* mtconnect instanceId (\d{1,19}) nextSequence (\d{1,19})\n\Z")
_TIME = re.compile(r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)(?:\.(\d{1,9}))?Z?$")


class MtconnectSource:
    """Asks ``mtconnect://host:port/device`` for what is new, and gives it as SHDR lines.

    Each observation becomes a line ``time|name|value`` (the data item's id where its name is not
    unique), conditions lines of six fields; so the journal keeps every value with its own time, and
    the line format is ``shdr``. It asks and never changes anything at the agent.

    While the agent does not answer it is asked again; when it answers in time, what was missed is
    still in its buffer and nothing is lost. What its buffer lost, and a restart of the agent, are
    gaps with their reason.

    Args:
        host, port: of the agent.
        device: name or uuid, when the agent has several.
        every_s: pause between two questions.
        count: most observations of one answer.
        patience_s: without an answer for so long, the link is called broken.
        secure: HTTPS.
    """

    is_file = False
    can_go_on = False
    first_line_whole = True

    def __init__(
        self, host: str, port: int, *, device: str = "", every_s: float = 0.25, count: int = 1000,
        patience_s: float = PATIENCE_S, secure: bool = False,
    ) -> None:  # fmt: skip
        require(1 <= port <= 65_535, "port of the agent", port, "1 to 65535")
        require(0.02 <= every_s <= 60, "every", every_s, "0.02 to 60 s")
        require(1 <= count <= 100_000, "count", count, "1 to 100,000 observations")
        if not re.fullmatch(r"[\w.\-]*", device):
            raise InputError("device of the agent", got=device, allowed="a name or a uuid")
        self.name = f"mtconnect://{host}:{port}" + (f"/{device}" if device else "")
        self._host, self._port, self._secure = host, port, secure
        self._path = f"/{quote(device)}" if device else ""
        self._every_s = every_s
        self._count = count
        self._patience_s = patience_s
        self._link: http.client.HTTPConnection | None = None
        self._names: dict[str, str] = {}
        self._instance = -1
        self._next = -1
        self._ask_at = 0.0
        self._wait_s = every_s
        self._answered_at = 0.0
        self._is_open = False
        self._goes_on = False  # behind a recording that ended; what is missed has to be told

    # -- source ---------------------------------------------------------------------------------

    def open(self) -> None:
        self._learn_names()
        self._answered_at = time.monotonic()
        self._ask_at = 0.0
        self._is_open = True

    def read(self, timeout_s: float) -> bytes | None:
        if not self._is_open:
            raise SourceError(self.name, got="it is not open")
        wait_s = self._ask_at - time.monotonic()
        if wait_s > 0:
            time.sleep(min(wait_s, timeout_s))
            if wait_s > timeout_s:
                return b""
        try:
            if self._goes_on and self._next < 0:
                self._goes_on = False
                raise GapError(_ANEW)
            lines = self._now() if self._next < 0 else self._new()
            self._goes_on = False
        except GapError:
            self._answered_at = time.monotonic()
            raise
        except SourceError:
            self._hang_up()
            if time.monotonic() - self._answered_at > self._patience_s:
                raise
            self._wait_s = min(2 * self._wait_s, _LONGEST_WAIT_S)
            self._ask_at = time.monotonic() + self._wait_s
            return b""
        self._wait_s = self._every_s
        self._answered_at = time.monotonic()
        return lines

    def land_in(self, memory: memoryview | None) -> None:
        """What is not read yet stays in the agent's buffer."""

    def fileno(self) -> int | None:
        return None  # the agent's buffer keeps what was not asked for yet

    def close(self) -> None:
        self._is_open = False
        self._hang_up()

    def describe(self) -> dict[str, str]:
        return {"kind": "mtconnect", "address": self.name, "every_s": f"{self._every_s:g}"}

    def go_on_from(self, byte_count: int) -> None:
        """A live link cannot go back."""

    def go_on_behind(self, tail: bytes, /) -> bool:
        """Ask for what follows the last answer of a recording: the agent's buffer may have it."""
        found = _ANSWER_END.search(tail)
        if found is None:
            return False
        self._instance, self._next = int(found[1]), int(found[2])
        self._goes_on = True
        return True

    # -- questions and answers ------------------------------------------------------------------

    def _learn_names(self) -> None:
        probe = self._ask("/probe")
        self._require(probe, "MTConnectDevices")
        often = Counter(name for _, name in probe.items if name)
        self._names = {
            item: name if often[name] == 1 else item for item, name in probe.items
        }  # fmt: skip
        instance = probe.number("instanceId")
        if instance != self._instance:
            self._instance, self._next = instance, -1

    def _now(self) -> bytes:
        """The values as they are now, all at the time of the newest of them."""
        document = self._ask("/current")
        self._require(document, "MTConnectStreams")
        self._instance = document.number("instanceId")
        self._next = document.number("nextSequence")
        newest = max((_sortable(one.timestamp) for one in document.observations), default="")
        return self._lines(document, newest + "Z" if newest else None)

    def _new(self) -> bytes:
        document = self._ask(f"/sample?from={self._next}&count={self._count}")
        if document.kind == "MTConnectError":
            return self._refused(document)
        self._require(document, "MTConnectStreams")
        instance, first = document.number("instanceId"), document.number("firstSequence")
        if instance != self._instance:
            self._begin_anew()
        if first > self._next:
            lost, self._next = first - self._next, first
            raise GapError(_overran(lost))
        news = document.number("nextSequence")
        self._ask_at = 0.0 if len(document.observations) >= self._count else self._later()
        if news < self._next:
            raise SourceError(self.name, got=f"next sequence number {news} after {self._next}")
        self._next = news
        return self._lines(document)

    def _refused(self, document: Document) -> bytes:
        """Find out why a sequence number is refused: overrun, restart, or something else."""
        codes = [code for code, _ in document.errors]
        if "OUT_OF_RANGE" not in codes:
            self._require(document, "MTConnectStreams")
        now = self._ask("/current")
        self._require(now, "MTConnectStreams")
        if now.number("instanceId") != self._instance:
            self._begin_anew()
        first = now.number("firstSequence")
        if first > self._next:
            lost, self._next = first - self._next, first
            raise GapError(_overran(lost))
        self._next = -1
        raise GapError("the agent's sequence numbers went back")

    def _begin_anew(self) -> None:
        self._learn_names()
        self._next = -1
        raise GapError(_ANEW)

    def _later(self) -> float:
        return time.monotonic() + self._every_s

    def _require(self, document: Document, kind: str) -> None:
        if document.kind != kind:
            found = "; ".join(f"{code} {text}" for code, text in document.errors) or document.kind
            raise SourceError(
                self.name, got=found, allowed=f"a document {kind}",
                do="Is the device's name right, and is this the address of an agent?",
            )  # fmt: skip

    def _ask(self, question: str) -> Document:
        try:
            if self._link is None:
                kind = http.client.HTTPSConnection if self._secure else http.client.HTTPConnection
                self._link = kind(self._host, self._port, timeout=REQUEST_TIMEOUT_S)
            self._link.request("GET", self._path + question, headers={"Accept": "text/xml"})
            answer = self._link.getresponse()
            data = bytearray()
            until = time.monotonic() + 2 * REQUEST_TIMEOUT_S
            while piece := answer.read(_PIECE_BYTES):
                data += piece
                if len(data) > LARGEST_BYTES or time.monotonic() > until:
                    raise SourceError(
                        self.name, got=f"an answer of more than {len(data):,} bytes",
                        allowed=f"at most {LARGEST_BYTES:,} bytes within {2 * REQUEST_TIMEOUT_S} s",
                    )  # fmt: skip
        except (OSError, http.client.HTTPException) as error:
            self._hang_up()
            raise SourceError(
                self.name, got=getattr(error, "strerror", None) or str(error) or repr(error),
                do="Is the agent started, and is its port right (5000 as a rule)?",
            ) from error  # fmt: skip
        except SourceError:
            self._hang_up()
            raise
        return parse(bytes(data))

    def _hang_up(self) -> None:
        if self._link is not None:
            self._link.close()
            self._link = None

    # -- lines ----------------------------------------------------------------------------------

    def _lines(self, document: Document, at: str | None = None) -> bytes:
        if not document.observations:
            return b""
        ordered = sorted(document.observations, key=lambda one: one.sequence)
        lines = [self._line(one, at or one.timestamp) for one in ordered]
        lines.append(f"* mtconnect instanceId {self._instance} nextSequence {self._next}")
        return ("\n".join(lines) + "\n").encode()

    def _line(self, one: Observation, at: str) -> str:
        key = self._names.get(one.item_id, one.item_id)
        value = re.sub(r"\s+", " ", one.value).replace("|", "¦")
        if not one.single:
            return f"* not a single value: {at} {key}"
        if one.level:
            return f"{at}|{key}|{one.level}||||{value}"
        return f"{at}|{key}|{value}"


def _overran(lost: int) -> str:
    return f"the agent's buffer overran: {lost} observations lost"


def _sortable(timestamp: str) -> str:
    """A UTC time as text that sorts by time; "" for anything else."""
    found = _TIME.match(timestamp)
    return f"{found[1]}.{(found[2] or '').ljust(9, '0')}" if found else ""
