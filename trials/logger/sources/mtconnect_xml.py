"""Documents of the open MTConnect standard, read with the standard library's expat.

Written from memory of ANSI/MTC1.4 (probe, current and sample documents, error documents); names are
compared without the version in their namespace, so that 1.3 to 2.x are read alike. A document type
declaration is refused, so there are no entities to expand; size and depth are bounded.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from xml.parsers import expat

from trials.errors import SourceError

LARGEST_BYTES = 16 << 20
_DEEPEST = 100
_NAMESPACE = "urn:mtconnect.org:"
_GROUPS = ("Samples", "Events", "Condition")


@dataclass(frozen=True, slots=True)
class Observation:
    """One value that an agent reports.

    ``level`` is NORMAL, WARNING, FAULT or UNAVAILABLE for a condition, "" otherwise. ``single`` is
    False for time series and data sets.
    """

    sequence: int
    timestamp: str
    item_id: str
    value: str
    level: str = ""
    single: bool = True


@dataclass(slots=True)
class Document:
    """What was in a document: the header, observations, names of data items, errors."""

    kind: str = ""
    header: dict[str, str] = field(default_factory=dict)
    observations: list[Observation] = field(default_factory=list)
    items: list[tuple[str, str]] = field(default_factory=list)  # id and name of data items
    errors: list[tuple[str, str]] = field(default_factory=list)  # code and text

    def number(self, name: str) -> int:
        """A whole number in the header; -1 when it is absent or none."""
        text = self.header.get(name, "")
        return int(text) if text.isdigit() and len(text) < 20 else -1


def parse(data: bytes) -> Document:
    """Read one document.

    Raises:
        SourceError: too large, no XML, a document type declaration, or not of the standard.
    """
    if len(data) > LARGEST_BYTES:
        raise _wrong(f"{len(data):,} bytes", f"at most {LARGEST_BYTES:,} bytes")
    reader = _Reader()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = reader.doctype
    parser.StartElementHandler = reader.start
    parser.CharacterDataHandler = reader.text
    parser.EndElementHandler = reader.end
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise _wrong(str(error), "a whole XML document") from None
    return reader.document


def _wrong(got: str, allowed: str) -> SourceError:
    return SourceError(
        "the agent's answer", got=got, allowed=allowed,
        do="Does an MTConnect agent answer at this address?",
    )  # fmt: skip


class _Reader:
    """Takes what expat finds."""

    def __init__(self) -> None:
        self.document = Document()
        self._path: list[str] = []
        self._texts: list[str] = []
        self._attributes: dict[str, str] = {}
        self._children = False

    def doctype(self, *_: object) -> None:
        raise _wrong("a document type declaration", "a document without one")

    def start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, local = name.rpartition(" ")
        if not self._path:
            if not space.startswith(_NAMESPACE) or not local.startswith("MTConnect"):
                raise _wrong(f"a document {local[:60]}", "an MTConnect document")
            self.document.kind = local
        if len(self._path) >= _DEEPEST:
            raise _wrong(f"more than {_DEEPEST} elements within each other", "a flat document")
        inside_value = len(self._path) > 1 and self._path[-2] in _GROUPS
        self._path.append(local)
        if inside_value:
            self._children = True
            return
        if local == "Header" and len(self._path) == 2:
            self.document.header = attributes
        elif local == "DataItem":
            item = attributes.get("id", ""), attributes.get("name", "")
            self.document.items.append(item)
        self._attributes, self._children = attributes, False
        self._texts.clear()

    def text(self, text: str) -> None:
        self._texts.append(text)

    def end(self, _name: str) -> None:
        local = self._path.pop()
        group = self._path[-1] if self._path else ""
        if group in _GROUPS and "ComponentStream" in self._path:
            self._observation(local, group)
        elif local == "Error" and self.document.kind == "MTConnectError":
            code = self._attributes.get("errorCode", "")
            self.document.errors.append((code, "".join(self._texts).strip()))

    def _observation(self, local: str, group: str) -> None:
        attributes = self._attributes
        sequence = attributes.get("sequence", "")
        if not sequence.isdigit() or len(sequence) > 19:
            raise _wrong(f"{local} without a sequence number", "the attribute sequence")
        single = not self._children and "sampleCount" not in attributes
        self.document.observations.append(
            Observation(
                int(sequence), attributes.get("timestamp", ""), attributes.get("dataItemId", ""),
                "".join(self._texts).strip(), local.upper() if group == "Condition" else "", single,
            )
        )  # fmt: skip
