"""From columns of texts to rows of values: shared by the line formats."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trials.logger.lines.numbers import Problem, numbers, times_ns
from trials.logger.lines.rows import Rows, problem_reject
from trials.logger.mapping import Field, Mapping
from trials.logger.readings import Counters, Floats, Ints, Reject

NOT_AVAILABLE = b"UNAVAILABLE"
BESIDE = ("rpm", "depth", "cycle")  # may be absent from a line: then they are not known


def values_of(
    field: Field, tokens: Sequence[bytes], decimal: str
) -> tuple[Floats | Ints, dict[int, Problem]]:
    """Values of one column; ISO times become int64 nanoseconds."""
    if field.unit == "iso":
        return times_ns(tokens)
    return numbers(tokens, decimal, field.unit)


def rows_of(
    mapping: Mapping,
    decimal: str,
    line_numbers: Sequence[int],
    raws: Sequence[bytes],
    columns: dict[str, Sequence[bytes]],
    counters: Counters,
) -> Rows:
    """Convert columns ("load", "time", "rpm", "depth", "cycle") of equal length.

    A line with any value that cannot be read is rejected as a whole: a garbled line is not to be
    trusted in its other half. Empty or unavailable rpm, depth and cycle are not known, hence NaN;
    an unavailable load is a gap and not a reject.
    """
    count = len(line_numbers)
    bad: set[int] = set()
    rejects: list[Reject] = []
    values: dict[str, Floats | Ints] = {}
    for what, field in mapping.fields().items():
        tokens = columns[what]
        found, problems = values_of(field, tokens, decimal)
        values[what] = found
        for index, why in problems.items():
            absent = tokens[index].strip().upper()
            if what == "load" and absent == NOT_AVAILABLE:
                counters.unavailable += 1
                continue
            if what in BESIDE and absent in (b"", NOT_AVAILABLE):
                continue
            if index not in bad:
                raw, number = raws[index], line_numbers[index]
                rejects.append(problem_reject(number, raw, what, tokens[index], why))
            bad.add(index)
    if isinstance(line_numbers, range):
        lines = np.arange(line_numbers.start, line_numbers.stop)
    else:
        lines = np.array(line_numbers, dtype=np.int64)
    unknown = np.full(count, np.nan)
    load, rpm, depth, cycle = (values.get(what, unknown) for what in ("load", *BESIDE))
    rows = Rows(lines, load, values.get("time"), rpm, depth, cycle, rejects)
    if bad:
        good = np.ones(count, dtype=bool)
        good[list(bad)] = False
        rows.keep(good)
    return rows
