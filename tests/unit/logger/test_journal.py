"""The journal: whole records or none, torn ends cut back, damage never silent."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

from trials.errors import JournalError
from trials.logger import Arrival, Journal, JournalReader, Kind, Position, after
from trials.logger.journal.record import HEAD, MAGIC, segment_numbers, segment_path

PAYLOADS = [b"t=1;load=40\n", b"", b"\x00\xff" * 50, b"t=2;lo", b"ad=41\n"]


def written(folder: Path, payloads: list[bytes] = PAYLOADS, **options: int) -> Path:
    with Journal.create(folder, {"source": "test"}, **options) as journal:
        for number, payload in enumerate(payloads):
            journal.append(payload, Arrival(number, 1000 + number))
    return folder


def data_of(folder: Path, *, strict: bool = True) -> list[bytes]:
    reader = JournalReader(folder, strict=strict)
    return [record.payload for record in reader if record.kind is Kind.DATA]


def filled(payloads: list[bytes]) -> list[bytes]:
    """An empty payload makes no record: there is nothing to keep."""
    return [payload for payload in payloads if payload]


def test_what_goes_in_comes_out(tmp_path: Path) -> None:
    folder = written(tmp_path / "j")
    reader = JournalReader(folder)
    assert reader.settings() == {"source": "test"}
    records = [record for record in reader if record.kind is Kind.DATA]
    assert [record.payload for record in records] == filled(PAYLOADS)
    assert records[0].arrival == Arrival(0, 1000)
    check = reader.verify()
    assert check.whole
    assert check.closed
    assert check.data_bytes == sum(map(len, PAYLOADS))


def test_it_rotates_and_reads_on_over_segments(tmp_path: Path) -> None:
    payloads = [bytes([number % 256]) * 100 for number in range(100)]
    folder = written(tmp_path / "j", payloads, segment_bytes=1000)
    assert len(segment_numbers(folder)) > 10
    assert all(segment_path(folder, n).stat().st_size <= 1000 for n in segment_numbers(folder))
    assert data_of(folder) == payloads


def test_large_chunks_are_cut_into_records_that_fit(tmp_path: Path) -> None:
    payload = random.Random(3).randbytes(3_000_000)
    assert b"".join(data_of(written(tmp_path / "j", [payload]))) == payload


def test_cut_at_every_byte_everything_before_comes_back(tmp_path: Path) -> None:
    folder = written(tmp_path / "j")
    path = segment_path(folder, 1)
    whole = path.read_bytes()
    ends = [after(record).offset for record in JournalReader(folder)]
    records = list(JournalReader(folder))
    for cut in range(len(whole)):
        path.write_bytes(whole[:cut])
        kept = [record for record, end in zip(records, ends, strict=True) if end <= cut]
        reader = JournalReader(folder)
        assert list(reader) == kept
        at_edge = cut in (0, len(MAGIC), *ends)
        assert (reader.torn is None) == at_edge
        if reader.torn is not None:
            assert reader.torn.offset + reader.torn.length == cut
        assert not reader.verify().closed


@pytest.mark.parametrize("fill", [b"\x00", b"\xa5", b"\xff"])
def test_a_filled_tail_is_cut_back_on_reopening(tmp_path: Path, fill: bytes) -> None:
    """After a power cut a file may be longer than what was written of it."""
    folder = written(tmp_path / "j")
    path = segment_path(folder, 1)
    path.write_bytes(path.read_bytes() + fill * 777)
    with Journal.reopen(folder) as journal:
        assert journal.cut is not None
        assert journal.cut.length == 777
        assert journal.data_bytes == sum(map(len, PAYLOADS))
        assert journal.settings == {"source": "test"}
        journal.append(b"more\n")
    assert data_of(folder) == [*filled(PAYLOADS), b"more\n"]
    assert JournalReader(folder).verify().whole


def test_reopening_after_every_cut_goes_on_cleanly(tmp_path: Path) -> None:
    folder = written(tmp_path / "j")
    path = segment_path(folder, 1)
    whole = path.read_bytes()
    for cut in range(0, len(whole), 7):
        path.write_bytes(whole[:cut])
        before = data_of(folder)
        with Journal.reopen(folder) as journal:
            journal.append(b"more\n")
        assert data_of(folder) == [*before, b"more\n"]
        assert JournalReader(folder).verify().whole


def test_every_single_bit_flip_is_noticed(tmp_path: Path) -> None:
    """Never a changed payload without a word: an error, or damage, or a torn end."""
    folder = written(tmp_path / "j")
    path = segment_path(folder, 1)
    whole = path.read_bytes()
    original = list(JournalReader(folder))
    for bit in range(len(whole) * 8):
        flipped = bytearray(whole)
        flipped[bit // 8] ^= 1 << bit % 8
        path.write_bytes(flipped)
        reader = JournalReader(folder, strict=False)
        found = list(reader)
        assert reader.damaged or reader.torn is not None
        assert all(record in original for record in found)
        if reader.damaged:
            with pytest.raises(JournalError, match=r"segment 1, byte \d+.*safe place"):
                list(JournalReader(folder))


def test_a_missing_segment_is_noticed(tmp_path: Path) -> None:
    payloads = [b"x" * 100] * 40
    folder = written(tmp_path / "j", payloads, segment_bytes=1000)
    segment_path(folder, 2).unlink()
    with pytest.raises(JournalError, match="segment 2, byte 0: the segment is missing"):
        list(JournalReader(folder))
    reader = JournalReader(folder, strict=False)
    assert 0 < len([r for r in reader if r.kind is Kind.DATA]) < 40
    assert reader.damaged


def test_it_is_read_while_it_is_written(tmp_path: Path) -> None:
    folder = tmp_path / "j"
    seen: list[bytes] = []
    position = Position()
    with Journal.create(folder, {}, segment_bytes=300) as journal:
        reader = JournalReader(folder)
        for number in range(50):
            journal.append(b"line %d\n" % number)
            if number % 3 == 0:
                for record in reader.read_from(position):
                    position = after(record)
                    if record.kind is Kind.DATA:
                        seen.append(record.payload)
                assert seen == [b"line %d\n" % n for n in range(number + 1)]
    assert reader.torn is None


def test_a_half_written_record_is_waited_for(tmp_path: Path) -> None:
    folder = written(tmp_path / "j")
    path = segment_path(folder, 1)
    whole = path.read_bytes()
    path.write_bytes(whole[:-5])
    reader = JournalReader(folder)
    position = Position()
    for record in reader.read_from(position):
        position = after(record)
    assert reader.torn is not None
    path.write_bytes(whole)
    assert [record.kind for record in reader.read_from(position)] == [Kind.CLOSED]


def test_one_writer_at_a_time(tmp_path: Path) -> None:
    holder = rf"another logger writes it \(process {os.getpid()}"
    with Journal.create(tmp_path / "j", {}), pytest.raises(JournalError, match=holder):
        Journal.reopen(tmp_path / "j")
    Journal.reopen(tmp_path / "j").close()


def test_a_recording_is_never_written_over(tmp_path: Path) -> None:
    folder = written(tmp_path / "j")
    with pytest.raises(JournalError, match="a recording is there already"):
        Journal.create(folder, {})
    with pytest.raises(JournalError, match="no segments"):
        Journal.reopen(tmp_path)


def test_short_writes_are_completed_and_failed_ones_wait(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, room = os.write, [10_000]

    def small(descriptor: int, data: memoryview) -> int:
        if room[0] <= 0:
            raise OSError(28, "No space left on device")
        size = min(7, room[0], len(data))
        room[0] -= size
        return real(descriptor, data[:size])

    with Journal.create(tmp_path / "j", {}) as journal:
        with monkeypatch.context() as patch:
            patch.setattr(os, "write", small)
            assert journal.append(b"a" * 100)
            assert journal.trouble is None
            room[0] = HEAD.size + 20
            assert journal.append(b"b" * 100)
            assert journal.append(b"c" * 100)
            assert "No space left" in (journal.trouble or "")
            assert data_of(tmp_path / "j") == [b"a" * 100], "half a record was left behind"
            assert JournalReader(tmp_path / "j").verify().whole
        journal.sync()
        assert journal.trouble is None
        journal.append(b"d" * 100)
    assert data_of(tmp_path / "j") == [letter * 100 for letter in (b"a", b"b", b"c", b"d")]
    assert JournalReader(tmp_path / "j").verify().whole


def test_what_the_disk_could_not_make_durable_is_written_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a failed fsync the system may have forgotten the bytes, and says later that all is
    well: they are written once more, elsewhere."""
    real = os.fsync
    failing = [True]

    def fail(descriptor: int) -> None:
        if failing[0]:
            raise OSError(5, "Input/output error")
        real(descriptor)

    payloads = [b"line %d\n" % number for number in range(20)]
    with Journal.create(tmp_path / "j", {}) as journal:
        for payload in payloads[:10]:
            journal.append(payload)
        monkeypatch.setattr(os, "fsync", fail)
        with pytest.raises(JournalError, match="Input/output error"):
            journal.sync()
        for payload in payloads[10:]:
            assert journal.append(payload)
        assert "Input/output error" in (journal.trouble or "")
        failing[0] = False
        journal.sync()
        assert journal.trouble is None
    assert data_of(tmp_path / "j") == payloads, "each once, although some are written twice"
    assert JournalReader(tmp_path / "j").verify().whole
    first, *_, last = (segment_path(tmp_path / "j", n) for n in segment_numbers(tmp_path / "j"))
    assert b"line 5\n" in first.read_bytes()
    assert b"line 5\n" in last.read_bytes()
    whole = first.read_bytes()
    first.write_bytes(whole[: whole.index(b"line 3\n")] + bytes(100))  # what it forgot is zeros
    assert data_of(tmp_path / "j") == payloads


def test_memory_for_what_waits_is_bounded_and_the_rest_a_counted_gap(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    with Journal.create(tmp_path / "j", {}, held_bytes=2000) as journal:
        with monkeypatch.context() as patch:
            patch.setattr(os, "write", full)
            kept = [journal.append(b"%03d\n" % number) for number in range(50)]
            assert kept == sorted(kept, reverse=True)
            assert 0 < sum(kept) < 20
            assert "bytes had to be dropped" in (journal.trouble or "")
            journal.note({"event": "gap", "reason": "the other side closed the link"})
        journal.sync()
        journal.append(b"on\n")
    records = [one for one in JournalReader(tmp_path / "j") if b"boot" not in one.payload][1:]
    assert [one.payload for one in records if one.kind is Kind.DATA] == [
        *(b"%03d\n" % number for number in range(sum(kept))), b"on\n",
    ]  # fmt: skip
    dropped = 4 * (50 - sum(kept))
    notes = [one.payload.decode() for one in records if one.kind is Kind.NOTE]
    assert "closed the link" in notes[0], "what happened is always kept"
    assert f"{dropped} bytes of" in notes[1]


def test_a_journal_that_never_gets_its_room_says_so_at_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    journal = Journal.create(tmp_path / "j", {})
    journal.append(b"kept\n")
    monkeypatch.setattr(os, "write", full)
    journal.append(b"lost\n")
    with pytest.raises(JournalError, match="No space left"):
        journal.close()
    monkeypatch.undo()
    assert data_of(tmp_path / "j") == [b"kept\n"]
    with pytest.raises(JournalError, match="it is closed"):
        journal.append(b"x")


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(JournalError, match="cannot be written"):
        Journal.create(tmp_path / "file" / "j", {})


def test_nothing_of_an_ended_process_stays_locked(tmp_path: Path) -> None:
    """A writer that is killed leaves its lock and its records behind in good order."""
    program = (
        "import os, signal, sys\n"
        "from trials.logger import Journal\n"
        "journal = Journal.create(sys.argv[1], {})\n"
        "for number in range(100): journal.append(b'line %d\\n' % number)\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    done = subprocess.run([sys.executable, "-c", program, str(tmp_path / "j")], check=False)
    assert done.returncode == -9
    assert data_of(tmp_path / "j") == [b"line %d\n" % number for number in range(100)]
    with Journal.reopen(tmp_path / "j") as journal:
        assert journal.cut is None
