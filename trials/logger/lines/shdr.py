"""SHDR: ``time|key|value|key|value…``, the adapters' line protocol of the open MTConnect standard.

Written from memory of ANSI/MTC1.4 and checked against a recording of a real machine: several pairs
on a line, only changes are sent, blocks of several lines (assets), conditions, protocol lines.
"""

from __future__ import annotations

import re

import numpy as np

from trials.logger.line_format import LineFormat, inside_encoding
from trials.logger.lines.columns import BESIDE, NOT_AVAILABLE
from trials.logger.lines.numbers import Problem, numbers, one_number, times_ns
from trials.logger.lines.rows import Rows, problem_reject
from trials.logger.mapping import Mapping
from trials.logger.readings import RAW_KEPT_BYTES, Counters, Reject

LONGEST_BLOCK_BYTES = 1 << 20
_TIME = rb"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(?:[.,]\d{1,9})?(?:Z|[+-]\d\d:?\d\d)?"
_STAMP = re.compile(_TIME + rb"(?:@[\d.]+)?\|")
_SERIES = re.compile(rb"[\d.]*")  # a rate, or none, where a key should be
_LEVELS = (b"NORMAL", b"WARNING", b"FAULT")
_MULTILINE = b"--multiline--"
_ALLOWED = "time|key|value|key|value…, such as 2026-01-31T08:30:00.125Z|S1load|41.5"


class ShdrReader:
    """Finds the mapped keys in SHDR lines.

    A sample is made wherever a load value stands. Spindle speed and depth keep the newest value
    that was sent, because only changes are sent. Conditions (six fields after the time, the second
    a level) are never searched for pairs, asset blocks are skipped, both are counted.
    """

    def __init__(self, line_format: LineFormat, mapping: Mapping, counters: Counters) -> None:
        encoding = inside_encoding(line_format)
        self._mapping = mapping
        self._counters = counters
        self._decimal = line_format.decimal
        keys = {
            what: str(field.name).encode(encoding, "replace")
            for what, field in mapping.fields().items()
            if what != "time"  # the line's own time is the only one
        }
        self._load = keys["load"]
        self._meaning = {key: what for what, key in keys.items()}
        self._mapped = re.compile(
            rb"\|(?:" + b"|".join(map(re.escape, keys.values())) + rb")(?:\||$)"
        )
        self._held = dict.fromkeys(BESIDE, np.nan)
        self._shape: re.Pattern[bytes] | None = None
        self._shape_order: list[str] = []
        self._inside = b""  # the token that ends the block we are in
        self._inside_bytes = 0

    def interrupt(self, *, anew: bool = False) -> None:  # noqa: ARG002 - of the protocol
        """A cut link ends a block of several lines, and what was held is no longer known."""
        self._inside = b""
        self._held = dict.fromkeys(self._held, np.nan)

    def read(self, block: bytes, first_line: int, lines: int) -> Rows:
        rows = None if self._inside else self._read_shape(block, first_line, lines)
        return self._read_each(block, first_line) if rows is None else rows

    # -- many lines of one shape at once --------------------------------------------------------

    def _learn(self, keys: list[bytes]) -> None:
        """Make a pattern for lines of these keys. Not for three pairs that begin with a key of no
        interest: they might be conditions."""
        order = [self._meaning[key] for key in keys if key in self._meaning]
        if "load" not in order or len(set(order)) != len(order):
            return
        if len(keys) == 3 and keys[0] not in self._meaning:
            return
        pairs = b"".join(
            rb"\|" + re.escape(key) + (rb"\|([^|\n]*)" if key in self._meaning else rb"\|[^|\n]*")
            for key in keys
        )
        self._shape = re.compile(b"^(" + _TIME + b")" + pairs + b"$", re.MULTILINE)
        self._shape_order = order

    def _read_shape(self, block: bytes, first_line: int, count: int) -> Rows | None:
        """All lines by one pattern; None when any line is another or holds no plain numbers."""
        if self._shape is None or _MULTILINE in block or b"|@" in block:
            return None
        found = self._shape.findall(block)
        if len(found) != count:
            return None
        stamps, *columns = zip(*found, strict=True)
        time, problems = times_ns(stamps)
        values = {what: np.full(count, held) for what, held in self._held.items()}
        for what, tokens in zip(self._shape_order, columns, strict=True):
            if problems:
                return None
            unit = self._mapping.fields()[what].unit
            values[what], problems = numbers(tokens, self._decimal, unit)
        if problems:
            return None
        self._held = {what: float(values[what][-1]) for what in self._held}
        at = np.arange(first_line, first_line + count, dtype=np.int64)
        rpm, depth, cycle = (values[what] for what in BESIDE)
        return Rows(at, values["load"], time, rpm, depth, cycle)

    # -- line by line ---------------------------------------------------------------------------

    def _read_each(self, block: bytes, first_line: int) -> Rows:
        at: list[int] = []
        raws: list[bytes] = []
        stamps: list[bytes] = []
        loads: list[bytes] = []
        beside: list[tuple[float, ...]] = []
        rejects: list[Reject] = []
        match, mapped, load = _STAMP.match, self._mapped.search, self._load
        special = b"|@" in block or _MULTILINE in block
        for number, line in enumerate(block.split(b"\n"), first_line):
            found = match(line)
            if self._inside and self._within(number, line, found is not None, rejects):
                continue
            if found is None:
                self._other(number, line, rejects)
                continue
            if special and (_MULTILINE in line or b"|@" in line):
                self._command(line, found.end())
                continue
            here = mapped(line)
            if here is None and line.count(b"|") != 6:
                continue
            parts = line.split(b"|")
            if len(parts) == 7 and self._is_condition(parts):
                self._counters.conditions += 1
                continue
            if here is None:
                continue
            keys, values = parts[1::2], parts[2::2]
            if len(keys) > len(values) and keys[-1] == load:
                rejects.append(self._no_value(number, line))
                continue
            if any(_SERIES.fullmatch(key) for key in keys):
                rejects.append(self._series(number, line))
                continue
            problem = self._hold(number, line, keys, values)
            if problem is not None:
                rejects.append(problem)
                continue
            for key, value in zip(keys, values, strict=False):
                if key != load:
                    continue
                if not value.strip():
                    self._counters.empty += 1
                    continue
                at.append(number)
                raws.append(line)
                stamps.append(parts[0])
                loads.append(value)
                beside.append(tuple(self._held.values()))
            if self._shape is None and len(keys) == len(values):
                self._learn(keys)
        return self._rows(at, raws, stamps, loads, beside, rejects)

    def _within(self, number: int, line: bytes, stamped: bool, rejects: list[Reject]) -> bool:
        """Skip a line of a block. False when the block turns out to have no end."""
        if line.rstrip() == self._inside:
            self._inside = b""
            return True
        self._inside_bytes += len(line) + 1
        if not stamped and self._inside_bytes <= LONGEST_BLOCK_BYTES:
            return True
        found = "the next time-stamped line" if stamped else f"{self._inside_bytes} bytes"
        why = "a block of several lines without its end"
        wanted = f"a line {self._inside.decode('utf-8', 'replace')}"
        rejects.append(Reject(number, line[:RAW_KEPT_BYTES], why, "", found, wanted))
        self._inside = b""
        return False

    def _other(self, number: int, line: bytes, rejects: list[Reject]) -> None:
        if line[:1] == b"*":
            self._counters.protocol += 1
        elif not line.strip():
            self._counters.blank += 1
        else:
            shown = line[:40].decode("utf-8", "replace")
            rejects.append(
                Reject(number, line[:RAW_KEPT_BYTES], "not an SHDR line", "", shown, _ALLOWED)
            )

    def _command(self, line: bytes, after_stamp: int) -> None:
        """A line that starts a block, or an asset command; neither holds pairs to read."""
        if line.startswith(b"@ASSET@|", after_stamp):
            self._counters.assets += 1
        last = line.rpartition(b"|")[2].rstrip()
        if last.startswith(_MULTILINE):
            self._inside, self._inside_bytes = last, 0

    @staticmethod
    def _is_condition(parts: list[bytes]) -> bool:
        level = parts[2].strip().upper()
        if level == NOT_AVAILABLE:
            return not any(part.strip() for part in parts[3:])
        return level in _LEVELS

    def _hold(
        self, number: int, line: bytes, keys: list[bytes], values: list[bytes]
    ) -> Reject | None:
        """Keep the newest rpm, depth and cycle of a line; nothing of it when any cannot be read."""
        if len(self._meaning) == 1:
            return None
        new = {}
        for key, token in zip(keys, values, strict=False):
            what = self._meaning.get(key, "load")
            if what == "load":
                continue
            if token.strip().upper() in (b"", NOT_AVAILABLE):
                new[what] = np.nan
                continue
            value = one_number(token, self._decimal, self._mapping.fields()[what].unit)
            if isinstance(value, Problem):
                return problem_reject(number, line, what, token, value)
            new[what] = value
        self._held.update(new)
        return None

    def _no_value(self, number: int, line: bytes) -> Reject:
        return Reject(number, line[:RAW_KEPT_BYTES], "a key without a value", "load",
                      self._load.decode("utf-8", "replace"), _ALLOWED)  # fmt: skip

    @staticmethod
    def _series(number: int, line: bytes) -> Reject:
        """``key|count|rate|v v v…``: the count must not pass for a value."""
        return Reject(number, line[:RAW_KEPT_BYTES], "a time series, not single values", "load",
                      line[:60].decode("utf-8", "replace"), _ALLOWED,
                      "Have the adapter send the load as single values.")  # fmt: skip

    def _rows(
        self, at: list[int], raws: list[bytes], stamps: list[bytes], loads: list[bytes],
        beside: list[tuple[float, ...]], rejects: list[Reject],
    ) -> Rows:  # fmt: skip
        if any(b"@" in stamp for stamp in stamps):
            stamps = [stamp.partition(b"@")[0] for stamp in stamps]
        time, bad_times = times_ns(stamps)
        load, bad_loads = numbers(loads, self._decimal, self._mapping.load.unit)
        good = np.ones(len(at), dtype=bool)
        for index, why in bad_loads.items():
            if loads[index].strip().upper() == NOT_AVAILABLE:
                self._counters.unavailable += 1
                continue
            good[index] = False
            rejects.append(problem_reject(at[index], raws[index], "load", loads[index], why))
        for index, why in bad_times.items():
            if good[index]:
                rejects.append(problem_reject(at[index], raws[index], "time", stamps[index], why))
            good[index] = False
        rpm, depth, cycle = np.array(beside, dtype=np.float64).reshape(-1, len(BESIDE)).T
        rows = Rows(
            np.asarray(at, dtype=np.int64), load, time,
            rpm, depth, cycle, rejects,
        )  # fmt: skip
        if not good.all():
            rows.keep(good)
        return rows
