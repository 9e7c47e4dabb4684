"""Lines of pairs: ``t=12.25;load=41.5;rpm=3820``, separated by ; , space or tab."""

from __future__ import annotations

import re
from collections.abc import Sequence

from trials.logger.line_format import LineFormat, inside_encoding
from trials.logger.lines.columns import BESIDE, rows_of
from trials.logger.lines.rows import Rows
from trials.logger.mapping import Mapping
from trials.logger.readings import RAW_KEPT_BYTES, Counters, Reject


class KeyValueReader:
    """Reads pairs; a run of lines of one shape is read by one pattern at once."""

    def __init__(self, line_format: LineFormat, mapping: Mapping, counters: Counters) -> None:
        self._mapping = mapping
        self._counters = counters
        self._decimal = line_format.decimal
        self._keys = {
            what: str(field.name).encode(inside_encoding(line_format), "replace")
            for what, field in mapping.fields().items()
        }
        self._between = rb"[;\s]+" if self._decimal == "," else rb"[;,\s]+"
        self._split = re.compile(self._between).split
        self._shape: re.Pattern[bytes] | None = None
        self._shape_order: tuple[str, ...] = ()

    def interrupt(self, *, anew: bool = False) -> None:
        """Nothing is carried from line to line."""

    def read(self, block: bytes, first_line: int, lines: int) -> Rows:
        texts = block.split(b"\n")
        if self._shape is not None and lines > 1:
            found = self._shape.findall(block)
            if len(found) == lines:
                together = found if len(self._shape_order) > 1 else [(one,) for one in found]
                quick: dict[str, Sequence[bytes]] = dict(
                    zip(self._shape_order, zip(*together, strict=True), strict=True)
                )
                numbers = range(first_line, first_line + lines)
                return self._rows(numbers, texts, quick, [])
        return self._read_each(texts, first_line)

    def _read_each(self, lines: list[bytes], first_line: int) -> Rows:
        columns: dict[str, list[bytes]] = {what: [] for what in self._keys}
        numbers: list[int] = []
        raws: list[bytes] = []
        rejects: list[Reject] = []
        for number, line in enumerate(lines, first_line):
            text = line.strip()
            if not text:
                self._counters.blank += 1
                continue
            pairs = self._pairs(number, text)
            if isinstance(pairs, Reject):
                rejects.append(pairs)
                continue
            missing = [
                what for what, key in self._keys.items()
                if key not in pairs and what not in BESIDE
            ]  # fmt: skip
            if missing:
                rejects.append(self._missing(number, line, missing[0], pairs))
                continue
            numbers.append(number)
            raws.append(line)
            for what, key in self._keys.items():
                columns[what].append(pairs.get(key, b""))
            if self._shape is None:
                self._learn(line)
        return self._rows(numbers, raws, columns, rejects)

    def _pairs(self, number: int, text: bytes) -> dict[bytes, bytes] | Reject:
        if b" =" in text or b"= " in text:
            text = re.sub(rb"[ \t]*=[ \t]*", b"=", text)
        pairs: dict[bytes, bytes] = {}
        for part in self._split(text):
            if not part:
                continue
            key, equals, value = part.partition(b"=")
            why = ""
            if not equals or not key:
                comma = self._decimal == "." and b"," in text
                why = "a part that is no key=value pair"
                do = "Decimal comma? Use --decimal ," if comma else "Is it another line format?"
            elif key in pairs:
                why, do = "a key that comes twice", "Which of the two is meant cannot be known."
            if why:
                shown = part[:RAW_KEPT_BYTES].decode("utf-8", "replace")
                return Reject(number, text[:RAW_KEPT_BYTES], why, "", shown,
                              "pairs such as load=41.5;rpm=3820", do)  # fmt: skip
            pairs[key] = value
        return pairs

    def _missing(self, number: int, line: bytes, what: str, pairs: dict[bytes, bytes]) -> Reject:
        seen = ", ".join(key.decode("utf-8", "replace") for key in list(pairs)[:20])
        return Reject(number, line[:RAW_KEPT_BYTES], "missing field", what, seen,
                      f"a pair {self._keys[what].decode('utf-8', 'replace')}=…",
                      "Map the field by the name that the line has.")  # fmt: skip

    def _learn(self, line: bytes) -> None:
        """Make a pattern for lines that have the same keys and separators as this one."""
        wanted = {key: what for what, key in self._keys.items()}
        value = rb"[^;=\s]*" if self._decimal == "," else rb"[^;,=\s]*"
        pattern, order = b"", []
        for part in re.split(rb"(" + self._between + rb")", line):
            key, equals, _ = part.partition(b"=")
            if not equals:
                pattern += re.escape(part)
                continue
            what = wanted.get(key)
            if what is not None:
                order.append(what)
            pattern += re.escape(key) + b"=" + (b"(" + value + b")" if what else value)
        if set(order) == set(self._keys):
            self._shape = re.compile(b"^" + pattern + b"$", re.MULTILINE)
            self._shape_order = tuple(order)

    def _rows(
        self,
        numbers: Sequence[int],
        raws: Sequence[bytes],
        columns: dict[str, Sequence[bytes]] | dict[str, list[bytes]],
        rejects: list[Reject],
    ) -> Rows:
        rows = rows_of(self._mapping, self._decimal, numbers, raws, dict(columns), self._counters)
        rows.rejects += rejects
        return rows
