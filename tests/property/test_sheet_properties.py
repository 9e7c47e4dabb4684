"""Whatever bytes a sheet holds: runs, or a reason that names a place; never anything else."""

from __future__ import annotations

import uuid

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.helpers.example_trial import example_trial
from trials.errors import InputError
from trials.sharing import SheetChoices, sheet_runs

KEY = uuid.UUID(int=7)
HEAD = "drill;vc [m/min];f [mm/rev];holes;VB [mm];end\n"


@settings(deadline=None, max_examples=150)
@given(st.binary(max_size=300), st.booleans())
def test_any_bytes_are_read_or_refused(data: bytes, with_head: bool) -> None:
    try:
        found = sheet_runs(
            (HEAD.encode() if with_head else b"") + data, "s.csv", example_trial(), KEY,
            SheetChoices(),
        )  # fmt: skip
    except InputError as error:
        said = str(error)
    else:
        said = " ".join(["s.csv", *(str(one.why) for one in found.refused)])
        assert all("line" in str(one.why) for one in found.refused)
    assert "s.csv" in said


@settings(deadline=None, max_examples=100)
@given(
    st.floats(1, 400).map(lambda value: round(value, 2)),
    st.floats(0.01, 2).map(lambda value: round(value, 4)),
    st.integers(0, 999_999),
    st.sampled_from([";", "\t"]),
    st.sampled_from([",", "."]),
)
def test_what_a_program_writes_is_what_is_read(
    speed: float, feed: float, holes: int, delimiter: str, decimal: str
) -> None:
    """The same values whatever the delimiter, the decimal mark and the mark between thousands."""

    def shown(value: float) -> str:
        return repr(value).replace(".", decimal)

    grouped = f"{holes:,}".replace(",", "." if decimal == "," else ",")
    # A line whose numbers can be read in one way only tells the mark, as real sheets do.
    rows = [["plain", shown(80.55), shown(0.1515), "10", shown(0.25), "worn"],
            ["plain", shown(speed), shown(feed), grouped, "", "stopped"]]  # fmt: skip
    text = HEAD.replace(";", delimiter) + "\n".join(delimiter.join(row) for row in rows)
    found = sheet_runs(text.encode(), "s.csv", example_trial(), KEY, SheetChoices(inch=False))
    assert not found.refused, [str(one.why) for one in found.refused]
    run = found.runs[1].run
    assert run.cutting_data.speed_m_per_min == speed
    assert run.cutting_data.feed_mm_per_rev == feed
    assert (run.holes, run.end) == (holes, "stopped")
