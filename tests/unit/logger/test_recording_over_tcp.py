"""A recording of a real machine, over TCP and as a file: every value, in order, the same."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from tests.helpers.replay_server import ReplayServer
from trials.logger import (
    Batch,
    Decoder,
    Journal,
    JournalReader,
    Kind,
    LineFormat,
    Mapping,
    Recorder,
    RecordingResult,
    import_file,
    open_source,
    rebuild,
    recording_settings,
)

SHDR = LineFormat("shdr")
S1LOAD = Mapping.parse("load=S1load,unit=%")


@pytest.fixture
def recording(shared_data: Path) -> Path:
    return shared_data / "shdr_turning_recording.txt"


def record(
    url: str, folder: Path, mapping: Mapping = S1LOAD, line_format: LineFormat = SHDR
) -> tuple[Batch, RecordingResult]:
    source = open_source(url)
    batches: list[Batch] = []
    settings = recording_settings(source, line_format, mapping)
    with Journal.create(folder, settings) as journal:
        recorder = Recorder(source, journal, Decoder(line_format, mapping), [batches.append])
        result = recorder.run()
    return Batch.join(batches), result


@pytest.mark.parametrize(("seed", "longest"), [(1, 40), (2, 300), (3, 20_000)])
def test_every_value_of_a_real_machine_arrives(
    recording: Path, tmp_path: Path, seed: int, longest: int
) -> None:
    data = recording.read_bytes()
    with ReplayServer(data, seed=seed, longest=longest) as server:
        batch, result = record(server.url, tmp_path / "journal")
    # The outside truth: the bytes themselves, read with one pattern.
    expected = [float(value) for value in re.findall(rb"\|S1load\|(\d+)", data)]
    assert batch.load_pct.tolist() == expected
    assert result.ended == "link lost"
    assert result.counters.rejected == 0
    journalled = b"".join(
        record.payload for record in JournalReader(tmp_path / "journal") if record.kind is Kind.DATA
    )
    assert journalled == data


def test_what_the_recording_holds_beside_values_is_counted(recording: Path, tmp_path: Path) -> None:
    data = recording.read_bytes()
    with ReplayServer(data, longest=5000) as server:
        batch, result = record(server.url, tmp_path / "journal")
    counters = result.counters
    lines = data.splitlines()
    # Counted in the file by hand: 77 load values, 57 assets, 3 lines of the protocol, 20
    # conditions, and the file begins anew once, about 17 minutes back.
    assert (counters.samples, counters.assets, counters.protocol) == (77, 57, 3)
    assert counters.conditions == 20
    assert counters.lines == len(lines) == 5368
    assert counters.assets == sum(b"@ASSET@" in line for line in lines)
    assert counters.clock_steps == 1
    (step,) = batch.clock_steps
    assert step.line_number == 1390
    assert 16 * 60 < step.back_s < 18 * 60
    (gap,) = batch.gaps
    assert "source clock stepped back 1041.8 s" in gap.reason
    assert batch.time_s[0] == 0.0
    assert (np.diff(batch.time_s) >= 0).all()
    assert batch.load_pct.max() == 164.0


def test_importing_the_file_gives_identical_samples(recording: Path, tmp_path: Path) -> None:
    mapping = Mapping.parse("load=S1load,rpm=S1speed")
    with ReplayServer(recording.read_bytes(), longest=999) as server:
        live, _ = record(server.url, tmp_path / "journal", mapping)
    imported = Batch.join(import_file(recording, SHDR, mapping))
    again = rebuild(tmp_path / "journal").batch
    for other in (imported, again):
        for name in ("time_s", "load_pct", "rpm", "depth_mm"):
            np.testing.assert_array_equal(getattr(live, name), getattr(other, name))
        assert (live.gaps, live.rejects, live.clock_steps) == (
            other.gaps,
            other.rejects,
            other.clock_steps,
        )


def test_the_file_is_recognised_and_several_loads_must_be_told_apart(recording: Path) -> None:
    with pytest.raises(ValueError, match=r"which field is the load.*S1load.*--map load="):
        import_file(recording)
    assert len(Batch.join(import_file(recording, mapping=S1LOAD))) == 77


def test_a_replay_of_the_file_and_of_the_journal_give_the_same(
    recording: Path, tmp_path: Path
) -> None:
    first, result = record(f"replay:{recording}", tmp_path / "one")
    assert result.ended == "source ended"
    second, _ = record(f"replay:{tmp_path / 'one'}", tmp_path / "two")
    np.testing.assert_array_equal(first.time_s, second.time_s)
    np.testing.assert_array_equal(first.load_pct, second.load_pct)
    assert len(first) == 77


def test_lines_that_are_no_pairs_give_no_values() -> None:
    """Conditions, asset blocks and time series may hold what looks like a value."""
    stamp = b"2026-01-31T08:30:01Z|"
    decoder = Decoder(SHDR, Mapping.parse("load=load,rpm=rpm"))
    batch = decoder.feed(
        stamp + b"load|40|rpm|3000\n"
        + stamp + b"cond|FAULT|load|99|HIGH|text\n"
        + stamp + b"cond|unavailable||||\n"
        + stamp + b"@ASSET@|1|Tool|--multiline--X1\n<load|98>\n|load|97\n--multiline--X1\n"
        + stamp + b"@REMOVE_ASSET@|load|96\n"
        + stamp + b"load|5|100|91 92 93 94 95\n"
        + stamp + b"load|3||91 92 93\n"
        + stamp + b"rpm|3100|load\n"
        + b"08:30|load|90\n"
        + stamp + b"rpm|fast|load|89\n"
        + stamp + b"a|1|b|2|load|41\n"
    )  # fmt: skip
    assert batch.load_pct.tolist() == [40.0, 41.0]
    assert batch.rpm.tolist() == [3000.0, 3000.0]
    assert (decoder.counters.conditions, decoder.counters.assets) == (2, 1)
    assert [reject.kind for reject in batch.rejects] == [
        "a time series, not single values",
        "a time series, not single values",
        "a key without a value",
        "not an SHDR line",
        "not a number",
    ]


def test_a_block_without_its_end_does_not_swallow_the_recording() -> None:
    stamp = b"2026-01-31T08:30:01Z|"
    decoder = Decoder(SHDR, Mapping.parse("load=load"))
    batch = decoder.feed(stamp + b"@ASSET@|1|Tool|--multiline--X1\n<a/>\n" + stamp + b"load|40\n")
    assert batch.load_pct.tolist() == [40.0]
    assert batch.rejects[0].kind == "a block of several lines without its end"


def test_unavailable_is_a_gap_and_never_a_zero(tmp_path: Path) -> None:
    text = (
        "2026-01-31T08:30:00.5Z|load|UNAVAILABLE\n"  # before the first value: nothing is missed
        "2026-01-31T08:30:01Z|load|40\n"
        "2026-01-31T08:30:02Z|load|UNAVAILABLE|rpm|UNAVAILABLE\n"
        "2026-01-31T08:30:03Z|load|\n"
        "2026-01-31T08:30:05.25Z|rpm|3000\n"
        "2026-01-31T08:30:06.25Z|load|42\n"
    )
    path = tmp_path / "some.txt"
    path.write_text(text)
    reading = import_file(path, SHDR, Mapping.parse("load=load,rpm=rpm"))
    batch = Batch.join(reading)
    assert batch.load_pct.tolist() == [40.0, 42.0]
    assert batch.time_s.tolist() == [0.0, 5.25]
    assert np.isnan(batch.rpm[0])
    assert batch.rpm[1] == 3000
    (gap,) = batch.gaps
    assert (gap.start_s, gap.end_s) == (1.0, 5.25)
    assert reading.counters.unavailable == 2
    assert reading.counters.empty == 1
