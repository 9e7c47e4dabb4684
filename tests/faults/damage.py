"""Journals cut and zero-filled at every byte; single bits flipped in all that is kept or sent."""

from __future__ import annotations

import contextlib
import random
import shutil
import tempfile
import zipfile
from pathlib import Path

import numpy as np

from tests.faults.row import Row
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import InputError, StoreError
from trials.logger import Arrival, Journal, JournalReader, Kind
from trials.logger.journal.record import segment_path
from trials.sharing import verify_package
from trials.sharing.package_write import seal
from trials.store import TraceWriter, read_trace
from trials.workbench import Workbench


def _line(number: int) -> bytes:
    return b"t=%.3f;load=%d\n" % (number / 1000, number % 90)


def _written(folder: Path, synced: int, after: int) -> int:
    """A journal as a power cut finds it: some records made durable, some not; the durable bytes."""
    journal = Journal.create(folder, {"source": "invented"})
    for number in range(synced):
        journal.append(_line(number), Arrival(number, number))
    journal.sync()
    durable = segment_path(folder, 1).stat().st_size
    for number in range(synced, synced + after):
        journal.append(_line(number), Arrival(number, number))
    journal.release()
    return durable


def cuts(after: int, step: int) -> Row:
    """Cut, and filled with zeros, at every byte (every ``step``-th) after the last sync."""
    synced, tried, wrong, unreported, unclean = 200, 0, 0, 0, 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "j"
        durable = _written(folder, synced, after)
        path = segment_path(folder, 1)
        whole = path.read_bytes()
        everything = [one.payload for one in JournalReader(folder) if one.kind is Kind.DATA]
        for at in range(durable, len(whole), step):
            for left in (whole[:at], whole[:at] + bytes(len(whole) - at)):
                path.write_bytes(left)
                tried += 1
                reader = JournalReader(folder, strict=False)
                found = [one.payload for one in reader if one.kind is Kind.DATA]
                end = len(found)
                wrong += end < synced or found != everything[:end] or bool(reader.damaged)
                lost_some = end < len(everything)
                between = reader.torn is None and len(left) == at  # cut between two records
                unreported += lost_some and reader.torn is None and not between
            if tried % 50 == 0:  # going on behind it is the same whatever the tail looks like
                with Journal.reopen(folder) as journal:
                    journal.append(b"more\n")
                check = JournalReader(folder).verify()
                unclean += not check.whole
                for extra in folder.glob("segment-*"):
                    if extra != path:
                        extra.unlink()
    return Row(
        "journal cut or zero-filled at every byte after the last sync"
        + (f" (every {step}th)" if step > 1 else ""),
        "everything up to the last sync back; the rest reported",
        f"{tried:,} tails: {wrong} lost or changed something before the last sync, {unreported} "
        f"not reported, {unclean} not clean after going on",
        not (wrong or unreported or unclean),
    )


def flips_in_a_journal(flips: int) -> Row:
    """Single bits of a journal flipped at random places."""
    places, silent, wrong = random.Random(5), 0, 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "j"
        _written(folder, 200, 200)
        path = segment_path(folder, 1)
        whole = path.read_bytes()
        original = set(JournalReader(folder))
        for _ in range(flips):
            bit = places.randrange(8 * len(whole))
            flipped = bytearray(whole)
            flipped[bit // 8] ^= 1 << bit % 8
            path.write_bytes(flipped)
            reader = JournalReader(folder, strict=False)
            found = list(reader)
            silent += not reader.damaged and reader.torn is None
            wrong += any(record not in original for record in found)
    return Row(
        f"{flips:,} single-bit flips of a journal", "no silent wrong value",
        f"{silent} passed in silence, {wrong} gave a record that was never written",
        not (silent or wrong),
    )  # fmt: skip


def flips_in_a_trace(flips: int) -> Row:
    """Single bits of a trace (Parquet) flipped at random places, read with and without the
    checksum that the store keeps."""
    places = random.Random(6)
    told = same = wrong = wrong_alone = 0
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "trace.parquet"
        values = np.random.default_rng(7)
        with TraceWriter(path) as writer:
            writer.append(np.arange(3000) / 100, values.uniform(0, 90, 3000))
            file = writer.finish()
        original, whole = read_trace(path, file.sha256), path.read_bytes()
        copy = Path(name) / "copy.parquet"
        for _ in range(flips):
            bit = places.randrange(8 * len(whole))
            flipped = bytearray(whole)
            flipped[bit // 8] ^= 1 << bit % 8
            shutil.copyfile(path, copy)
            copy.write_bytes(flipped)
            try:
                wrong += not read_trace(copy, file.sha256).equals(original)
                same += 1
            except StoreError:
                told += 1
            with contextlib.suppress(StoreError):
                wrong_alone += not read_trace(copy).equals(original)
    return Row(
        f"{flips:,} single-bit flips of a trace (Parquet)", "no silent wrong value",
        f"{told:,} told, {wrong} wrong values; read by page checksums alone, without the store's "
        f"checksum of the file: {wrong_alone} wrong",
        wrong == 0 and told == flips,
    )  # fmt: skip


def flips_in_a_package(flips: int) -> Row:
    """Single bits of an exported package flipped at random places; every tenth is sealed anew, as
    by somebody who changes a package and mends the digest of the whole file."""
    places, told, sealed, told_sealed, wrong = random.Random(8), 0, 0, 0, 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        fill_shop(folder / "shop", folder)
        path, copy = folder / "package.zip", folder / "copy.zip"
        with Workbench.open(folder / "shop") as bench:
            bench.export(NAME, path)
        whole = path.read_bytes()
        for turn in range(flips):
            bit = places.randrange(8 * len(whole))
            flipped = bytearray(whole)
            flipped[bit // 8] ^= 1 << bit % 8
            copy.write_bytes(flipped)
            told += _refused(copy)
            if turn % 10 == 0 and bit // 8 < whole.index(b'"$schema"'):  # not what holds the sums
                sealed += 1
                seal(copy)
                refused = _refused(copy)
                told_sealed += refused
                wrong += not refused and _files_in(copy) != _files_in(path)
    return Row(
        f"{flips:,} single-bit flips of an exported package", "no silent wrong value",
        f"{told:,} told; where the digest of the whole file was mended, {told_sealed} of {sealed}, "
        f"and {wrong} of the others changed what is in a file",
        told == flips and not wrong,
    )  # fmt: skip


def _files_in(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def _refused(path: Path) -> bool:
    try:
        verify_package(path)
    except InputError:
        return True
    return False


def run(after: int, step: int, flips: int) -> list[Row]:
    return [
        cuts(after, step), flips_in_a_journal(flips), flips_in_a_trace(flips),
        flips_in_a_package(flips),
    ]  # fmt: skip
