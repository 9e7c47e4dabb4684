"""Any bytes, cut anywhere: the same samples, gaps and rejects, and never a crash."""

from __future__ import annotations

import itertools
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trials.errors import InputError
from trials.logger import (
    Batch,
    Counters,
    Decoder,
    Journal,
    JournalReader,
    Kind,
    LineFormat,
    Mapping,
)
from trials.logger.journal.record import MAGIC, segment_path
from trials.logger.lines.numbers import Problem, numbers, one_number, one_time_ns, times_ns

DIALECTS = {
    "csv": (LineFormat(), Mapping.parse("load=load,time=t,rpm=rpm")),
    "numbered": (LineFormat(delimiter=";", decimal=","), Mapping.parse("load=2,time=1,rpm=3")),
    "spaces": (LineFormat(delimiter="space"), Mapping.parse("load=2,time=1")),
    "pairs": (LineFormat("key=value"), Mapping.parse("load=load,time=t,rpm=rpm")),
    "comma pairs": (LineFormat("key=value", decimal=","), Mapping.parse("load=load,interval=1")),
    "shdr": (LineFormat("shdr"), Mapping.parse("load=load,rpm=rpm")),
    "mixed": (LineFormat("shdr"), Mapping.parse("load=load,rpm=rpm,depth=z")),
    "wide": (LineFormat(encoding="utf-16-le"), Mapping.parse("load=2,time=1,rpm=3")),
}

number = st.one_of(
    st.floats(-10, 400).map(lambda value: f"{value:.3f}"),
    st.sampled_from(
        ["", "nan", "inf", "1e3", "1_0", "41,5", "41.5 %", "UNAVAILABLE", "-0", "+7", "."]
    ),
)
seconds = st.floats(0, 20).map(lambda value: f"{value:.2f}")
stamp = st.builds(
    "2026-01-31T08:{:02d}:{:02d}{}{}".format,
    st.integers(0, 61), st.integers(0, 61), st.sampled_from(["", ".5", ".1234567", ".123456789"]),
    st.sampled_from(["Z", "", "+01:00", "@3.5"]),
)  # fmt: skip
line = st.one_of(
    st.builds("{},{},{}".format, seconds, number, number),
    st.builds("{};{};{}".format, seconds, number, number),
    st.builds("{} {}".format, seconds, number),
    st.builds("t={};load={};rpm={}".format, seconds, number, number),
    st.builds("load={} t={}".format, number, seconds),
    st.builds("{}|load|{}|rpm|{}".format, stamp, number, number),
    st.builds("{}|rpm|{}".format, stamp, number),
    st.sampled_from([
        "t,load,rpm", "", "# note", "* PING", "sep=,", "--multiline--A", "<x/>", '"1","2","3"',
        "2026-01-31T08:00:00Z|@ASSET@|1|T|--multiline--A",
        "2026-01-31T08:00:00Z|c|FAULT|load|5|HIGH|text", "x" * 70_000, "\x00\x00", "é=5",
    ]),
)  # fmt: skip
text = st.builds(
    lambda lines, ends: "".join(a + b for a, b in zip(lines, ends, strict=False)),
    st.lists(line, max_size=30),
    st.lists(st.sampled_from(["\n", "\r\n", "\r", "\n\n"]), min_size=30, max_size=30),
)
RUBBISH = [
    "x", "", "5", "t=1", "nan,nan,nan", "2026-01-31T08:30:00Z|load|UNAVAILABLE|rpm|5",
    "2026-01-31T08:30:00Z|c|FAULT|load|5|HIGH|x", "2026-01-31T08:30:00Z|x|1|load||y||rpm|2",
    "2026-01-31T08:30:00Z|@ASSET@|load|--multiline--A\n--multiline--A", "t=2;load=nan;rpm=7",
]  # fmt: skip
stream = st.one_of(
    text.map(str.encode),
    st.binary(max_size=400),
    st.builds(lambda a, b: a.encode() + b, text, st.binary(max_size=80)),
    text.map(lambda one: one.encode("utf-16-le")),
)
cuts = st.lists(st.integers(0, 4000), max_size=40)


def decode(
    dialect: str, chunks: list[bytes], *, whole: bool = True
) -> tuple[Batch, Counters] | str:
    decoder = Decoder(*DIALECTS[dialect])
    try:
        batches = [decoder.feed(chunk) for chunk in chunks]
        batches.append(decoder.finish(last_line_whole=whole))
    except InputError as error:  # a header that does not fit the mapping
        return str(error)
    return Batch.join(batches), decoder.counters


def pieces(data: bytes, cuts: list[int]) -> list[bytes]:
    places = [0, *sorted(min(cut, len(data)) for cut in cuts), len(data)]
    return [data[a:b] for a, b in itertools.pairwise(places)]


def assert_same(one: tuple[Batch, Counters] | str, other: tuple[Batch, Counters] | str) -> None:
    if isinstance(one, str) or isinstance(other, str):
        assert one == other
        return
    for name in ("time_s", "load_pct", "rpm", "depth_mm"):
        np.testing.assert_array_equal(getattr(one[0], name), getattr(other[0], name))
    assert one[0].gaps == other[0].gaps
    assert one[0].rejects == other[0].rejects
    assert one[0].clock_steps == other[0].clock_steps
    assert one[1] == other[1]


@pytest.mark.parametrize("dialect", DIALECTS)
@given(data=stream, cuts=cuts, whole=st.booleans())
@settings(max_examples=150, deadline=None)
def test_any_chunking_gives_the_same(
    dialect: str, data: bytes, cuts: list[int], whole: bool
) -> None:
    once = decode(dialect, [data], whole=whole)
    assert_same(once, decode(dialect, pieces(data, cuts), whole=whole))
    if len(data) < 500:
        single = [data[at : at + 1] for at in range(len(data))]
        assert_same(once, decode(dialect, single, whole=whole))
    if not isinstance(once, str):
        batch = once[0]
        assert (np.diff(batch.time_s) >= 0).all()
        assert ((batch.load_pct >= 0) & (batch.load_pct <= 300)).all()
        assert all(gap.start_s <= gap.end_s for gap in batch.gaps)


@given(
    st.lists(st.tuples(st.floats(0, 1e6), st.floats(0, 300), st.integers(0, 9)), min_size=1),
    st.sampled_from(["csv", "numbered", "pairs", "shdr", "mixed"]),
    st.lists(st.tuples(st.integers(0, 1000), st.sampled_from(RUBBISH)),
             max_size=2),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_the_quick_way_and_the_slow_way_agree(
    rows: list[tuple[float, float, int]], dialect: str, bad: list[tuple[int, str]]
) -> None:
    """Long clean runs are read in bulk; the same lines one by one must give the same values."""
    make = {
        "csv": "{0!r},{1!r},{2}",
        "numbered": "{0!r};{1!r};{2}",
        "pairs": "t={0!r};load={1!r};rpm={2}",
        "shdr": "2026-01-31T08:30:0{2}.{2}Z|load|{1!r}|rpm|{2}",
        "mixed": "2026-01-31T08:30:0{2}.{2}Z|x|{0}|load|{1!r}|y||rpm|{2}",
    }[dialect]
    lines = [make.format(*row) for row in sorted(rows * (1 + 300 // len(rows)))]
    if dialect == "numbered":
        lines = [one.replace(".", ",") for one in lines]
    for place, rubbish in bad:
        lines.insert(place, rubbish)
    header = "t,load,rpm\n" if dialect == "csv" else ""
    data = (header + "\n".join(lines) + "\n").encode()
    single = [part + b"\n" for part in data.split(b"\n")[:-1]]
    assert_same(decode(dialect, [data]), decode(dialect, single))


@given(
    st.lists(st.binary(max_size=12) | number.map(str.encode), max_size=12), st.sampled_from(".,")
)
@settings(deadline=None)
def test_numbers_at_once_and_one_by_one(tokens: list[bytes], decimal: str) -> None:
    tokens = [token.replace(b"\n", b"") for token in tokens]
    values, problems = numbers(tokens, decimal, "%")
    for index, token in enumerate(tokens):
        single = one_number(token, decimal, "%")
        if isinstance(single, Problem):
            assert problems[index] == single
        else:
            assert values[index] == single


@given(st.lists(stamp | st.text("0123456789-T:.Z ", max_size=24), min_size=9, max_size=30))
@settings(deadline=None)
def test_times_at_once_and_one_by_one(texts: list[str]) -> None:
    texts += [texts[0]] * 3
    for group in (texts, [one for one in texts if len(one) == len(texts[0])] * 9):
        tokens = [one.encode() for one in group]
        values, problems = times_ns(tokens)
        for index, token in enumerate(tokens):
            single = one_time_ns(token)
            if isinstance(single, Problem):
                assert problems[index] == single
            else:
                assert values[index] == single


@given(st.lists(st.binary(min_size=1, max_size=60), max_size=12), st.integers(200, 2000), st.data())
@settings(max_examples=60, deadline=None)
def test_a_journal_gives_back_exactly_the_whole_records(
    payloads: list[bytes], segment_bytes: int, data: st.DataObject
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "j"
        with Journal.create(folder, {}, segment_bytes=segment_bytes) as journal:
            for payload in payloads:
                journal.append(payload)
        records = list(JournalReader(folder))
        assert [one.payload for one in records if one.kind is Kind.DATA] == payloads
        last = max(one.position.segment for one in records)
        path = segment_path(folder, last)
        size = path.stat().st_size
        cut = data.draw(st.integers(0, size))
        path.write_bytes(path.read_bytes()[:cut])
        kept = [
            one for one in records
            if one.position.segment < last
            or (cut >= len(MAGIC) and one.position.offset + 32 + len(one.payload) <= cut)
        ]  # fmt: skip
        assert list(JournalReader(folder)) == kept
