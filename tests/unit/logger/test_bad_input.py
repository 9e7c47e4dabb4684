"""Bad input: each a one-paragraph error that names place, found, allowed and what to do."""

from __future__ import annotations

import codecs
import os
import random
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from trials.errors import InputError, SourceError
from trials.logger import (
    Batch,
    Decoder,
    LineFormat,
    Mapping,
    guess_mapping,
    import_file,
    open_source,
    sniff,
)
from trials.logger.file_import import FileImport

GOOD = "time_s,load_pct,rpm\n0.00,1.5,3820\n0.02,41.25,3815\n0.04,40.75,3816\n"
LOADS = [1.5, 41.25, 40.75]
MAP = Mapping.parse("load=load_pct,time=time_s,rpm=rpm")


def made(tmp_path: Path, content: str | bytes, name: str = "trace.csv") -> Path:
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def error_of(path: Path, mapping: Mapping | None = MAP, **options: object) -> str:
    """The words of the error, which must be one paragraph that says what to do."""
    with pytest.raises(InputError) as caught:
        Batch.join(import_file(path, mapping=mapping, **options))  # type: ignore[arg-type]
    text = str(caught.value)
    assert "\n" not in text
    assert path.name in text
    assert caught.value.allowed
    return text


def skipped(path: Path, mapping: Mapping = MAP) -> tuple[Batch, FileImport]:
    reading = import_file(path, mapping=mapping, skip_bad_lines=True)
    return Batch.join(reading), reading


# -- what is read right -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "content",
    [
        GOOD.encode(),
        codecs.BOM_UTF8 + GOOD.encode(),
        codecs.BOM_UTF16_LE + GOOD.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + GOOD.encode("utf-16-be"),
        GOOD.encode("utf-16-le"),
        GOOD.encode("utf-16-be"),
        ("# Gerät in Halle 3\n" + GOOD).encode("latin-1"),
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        GOOD.replace("0.00,1.5,3820\n", "0.00,1.5,3820\r\n\r\n").encode(),
        GOOD.rstrip("\n").encode(),
        GOOD.replace(",", ";").replace(".", ",").encode(),
        GOOD.replace(",", ";").encode(),
        GOOD.replace(",", "\t").encode(),
        GOOD.replace(",", "|").encode(),
        GOOD.replace(",", "  ").encode(),
        ("sep=;\n" + GOOD.replace(",", ";")).encode(),
        GOOD.replace("1.5", '"1.5"').encode(),
        GOOD.replace("41.25", "41.25 %").encode(),
        GOOD.replace("load_pct", "load_pct [%]").encode(),
        GOOD.replace("3820\n", "3820,\n").encode(),
        b"rpm=1;load_pct=1.5;time_s=0\nrpm=2;load_pct=41.25;time_s=.02\nload_pct=40.75;time_s=0.04",
        codecs.BOM_UTF8
        + b"time_s=0 load_pct=1.5\ntime_s=0.02 load_pct=41.25\nload_pct=40.75 time_s=.04",
        b"time_s=0 load_pct=1.5\ntime_s=0.02 load_pct=41.25\ntime_s=0.04 load_pct=40.75\n",
        b"time_s=0,load_pct=1.5\ntime_s=0.02,load_pct=41.25\ntime_s=0.04,load_pct=40.75\n",
        b"time_s=0;load_pct=1,5\ntime_s=0,02;load_pct=41,25\ntime_s=0,04;load_pct=40,75\n",
    ],
)
def test_the_same_values_in_other_clothes(tmp_path: Path, content: bytes) -> None:
    batch = Batch.join(import_file(made(tmp_path, content), mapping=MAP))
    assert batch.load_pct.tolist() == LOADS
    np.testing.assert_allclose(batch.time_s, [0, 0.02, 0.04], atol=1e-12)


def test_a_mapping_is_guessed_only_without_doubt(tmp_path: Path) -> None:
    path = made(tmp_path, GOOD)
    mapping = guess_mapping(sniff(path))
    assert (mapping.load.name, mapping.load.unit) == ("load_pct", "%")
    assert mapping.time is not None
    assert (mapping.time.name, mapping.time.unit) == ("time_s", "s")
    assert mapping.rpm is not None
    assert Batch.join(import_file(path)).load_pct.tolist() == LOADS


@pytest.mark.parametrize(
    ("unit", "reference", "expected"),
    [("ratio", None, 50.0), ("kW", 11.0, 100 * 0.5 / 11.0), ("N*m", 2.0, 25.0), ("A", 0.5, 100.0)],
)
def test_other_units_become_percent_of_the_reference(
    unit: str, reference: float | None, expected: float
) -> None:
    text = f"load=x,time=t,unit={unit}" + (f",reference={reference}" if reference else "")
    decoder = Decoder(LineFormat("key=value"), Mapping.parse(text))
    assert decoder.feed(b"t=1;x=0.5\n").load_pct.tolist() == pytest.approx([expected])


def test_inch_depth_and_milliseconds() -> None:
    mapping = Mapping.parse("load=l,time=t,time_unit=ms,depth=z,depth_unit=in")
    batch = Decoder(LineFormat("key=value"), mapping).feed(b"t=500;l=1;z=1\nt=1500;l=2;z=0.5\n")
    assert batch.time_s.tolist() == [0.0, 1.0]
    assert batch.depth_mm.tolist() == [25.4, 12.7]  # 1 in is 25.4 mm (ISO 31 / NIST SP 811)


# -- what is refused ----------------------------------------------------------------------------


@pytest.mark.parametrize("unit", ["kW", "A", "N*m"])
def test_a_unit_without_its_reference_is_refused(unit: str) -> None:
    with pytest.raises(InputError, match=r"no reference.*100 %.*reference="):
        Mapping.parse(f"load=x,unit={unit}")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("load=x,unit=psi", r"unit of load: got 'psi'; allowed: one of %, ratio, kW, A, N\*m"),
        ("load=x,time=t,time_unit=h", "unit of time"),
        ("lod=x", "pairs such as load=S1load"),
        ("load=x,load=y", "load once"),
        ("time=t", "at least load="),
        ("load=x,range=80", r"0\.\.300"),
        ("load=x,range=80..20", "a lowest value below a highest"),
        ("load=0", "counted from 1"),
    ],
)
def test_a_mapping_that_makes_no_sense(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        Mapping.parse(text)


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        ("0.02,nan,3815", ["line 3", "load (load_pct)", "'nan'", "--skip-bad-lines"]),
        ("0.02,inf,3815", ["line 3", "'inf'", "number in %"]),
        ("0.02,-inf,3815", ["line 3", "'-inf'"]),
        ("0.02,1e999,3815", ["line 3", "'1e999'", "finite"]),
        ("0.02,1_0,3815", ["line 3", "'1_0'"]),
        ("0.02,0x10,3815", ["line 3", "'0x10'"]),
        ("0.02,-3.5,3815", ["line 3", "'-3.5 %'", "0 to 300 %"]),
        ("0.02,301,3815", ["line 3", "'301 %'", "0 to 300 %", "range="]),
        ("0.02,,3815", ["line 3", "load", "empty"]),
        ("0.02,n/a,3815", ["line 3", "'n/a'"]),
        ("0.02,4.1 kW,3815", ["line 3", "another unit", "'4.1 kW'", "unit="]),
        ("abc,41.25,3815", ["line 3", "time (time_s)", "'abc'", "number in s"]),
        ("2026-01-01T00:00:00Z,41.25,3815", ["line 3", "time (time_s)"]),
        ("0.02,41.25,fast", ["line 3", "rpm (rpm)", "'fast'"]),
        ("0.02,41.25", ["line 3", "2 columns", "3 columns"]),
        ("0,02,41,25,38,15", ["line 3", "6 columns", "semicolons"]),
        ("0.02,41.25,3815,7", ["line 3", "4 columns"]),
        ("-0.5,41.25,3815", ["line 3", "time", "0.5 s before", "never step back"]),
        ("0.02,41\x0025,3815", ["line 3", "load"]),
    ],
)
def test_a_bad_line_is_named_and_can_be_skipped(tmp_path: Path, bad: str, words: list[str]) -> None:
    path = made(tmp_path, GOOD.replace("0.02,41.25,3815", bad))
    text = error_of(path)
    for word in words:
        assert word in text
    batch, reading = skipped(path)
    if "before" in text:
        assert reading.counters.clock_clamps == 1
        assert batch.load_pct.tolist() == LOADS
    else:
        assert batch.load_pct.tolist() == [1.5, 40.75]
        assert reading.counters.rejected == 1


def test_the_hint_at_a_decimal_comma(tmp_path: Path) -> None:
    path = made(tmp_path, GOOD.replace(",", ";").replace("41.25", "41,25"))
    text = error_of(path, line_format=LineFormat(delimiter=";"))
    assert "'41,25'" in text
    assert "--decimal ," in text
    assert "one decimal mark" in error_of(path)
    other = made(tmp_path, GOOD.replace(",", ";"), "points.csv")
    assert "--decimal ." in error_of(other, line_format=LineFormat(delimiter=";", decimal=","))


def test_times_that_step_back_far_end_a_strict_import_and_are_counted_otherwise(
    tmp_path: Path,
) -> None:
    path = made(tmp_path, GOOD.replace("0.00,", "5000.00,"))
    assert "line 3" in error_of(path)
    batch, reading = skipped(path)
    assert batch.load_pct.tolist() == LOADS
    assert reading.counters.clock_steps == 1
    assert (np.diff(batch.time_s) >= 0).all()
    assert batch.gaps[0].reason == "source clock stepped back 5000.0 s"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", ["an empty file"]),
        (b"\n\n  \n", ["no lines in it"]),
        (codecs.BOM_UTF8, ["no lines"]),
        (b"time_s,load_pct,rpm\n", ["only a header"]),
        (b"sep=;\n", ["no lines in it"]),
        (random.Random(7).randbytes(5000), ["text in UTF-8"]),
        (b"\x7fELF" + bytes(3000), ["control bytes"]),
        (bytes(4096), ["control bytes"]),
        (GOOD.encode("utf-32"), ["UTF-32"]),
        (b"time_s,torque,rpm\n0,1,2\n", ["no columns named load_pct", "time_s, torque, rpm"]),
        (b"time_s,load_pct2,rpm\n0,1,2\n", ["Did you mean load_pct2?"]),
        (b"time_s,load_pct,load_pct,rpm\n0,1,2,3\n", ["2 columns named load_pct"]),
        (
            b"time_s,load_pct [kW],rpm\n0,1,2\n",
            ["header: unit of load", "load_pct [kW]", "unit=kW"],
        ),
        (b"time_s,load_pct,rpm\nx\ny\nz\n", ["line 2", "1 columns"]),
    ],
)
def test_a_bad_file_is_explained(tmp_path: Path, content: bytes, words: list[str]) -> None:
    text = error_of(made(tmp_path, content))
    for word in words:
        assert word in text


def test_a_name_that_never_comes_is_an_error_that_lists_the_names(tmp_path: Path) -> None:
    path = made(tmp_path, b"2026-01-31T08:30:01Z|Sload|40\n2026-01-31T08:30:02Z|Sload|41\n")
    assert "Sload" in error_of(path, Mapping.parse("load=load"))


def test_values_below_one_do_not_pass_as_percent_by_guess(tmp_path: Path) -> None:
    path = made(tmp_path, b"time,load\n0,0.1\n1,0.9\n")
    text = error_of(path, None)
    assert "unit=ratio" in text
    assert len(Batch.join(import_file(path, mapping=Mapping.parse("load=load,time=time")))) == 2


def test_a_file_without_times_needs_an_interval(tmp_path: Path) -> None:
    path = made(tmp_path, b"load\n1\n2\n3\n")
    assert "which field is the time" in error_of(path, None)
    assert "no time field" in error_of(path, Mapping.parse("load=load"))
    mapping = Mapping.parse("load=load,interval=0.5")
    assert Batch.join(import_file(path, mapping=mapping)).time_s.tolist() == [0.0, 0.5, 1.0]


def test_folder_absent_and_forbidden_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "a folder" in error_of(tmp_path)
    with pytest.raises(InputError, match="no such file"):
        import_file(tmp_path / "absent.csv")
    path = made(tmp_path, GOOD)

    def forbidden(*_: object) -> int:  # rights mean nothing to a superuser who runs the tests
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", forbidden)
    assert "chmod" in error_of(path)


# -- memory -------------------------------------------------------------------------------------


def test_a_line_without_end_is_rejected_once_in_bounded_memory() -> None:
    """A gigabyte as one line, handed over in the chunks a source gives."""
    decoder = Decoder(LineFormat(), MAP)
    decoder.feed(GOOD.encode())
    chunk = b"7" * (1 << 20)
    rejects = []
    tracemalloc.start()
    for _ in range(1024):
        rejects += decoder.feed(chunk).rejects
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 1 << 20
    assert [(reject.line_number, reject.kind) for reject in rejects] == [(5, "line too long")]
    assert decoder.feed(b"\n0.06,39,3816\n").load_pct.tolist() == [39.0]


@pytest.mark.parametrize("extra", [0, 1])
def test_the_limit_of_a_line_is_64_kib_exactly(extra: int) -> None:
    line = b"0.5,20,3800".ljust(65_536 + extra, b" ") + b"\n"
    for step in (len(line), 1000):
        decoder = Decoder(LineFormat(), MAP)
        decoder.feed(b"time_s,load_pct,rpm\n0.1,5,3800\n")
        batch = Batch.join(decoder.feed(line[at : at + step]) for at in range(0, len(line), step))
        assert (len(batch), len(batch.rejects)) == (1 - extra, extra)


def test_an_unfinished_line_of_a_live_stream_is_never_parsed() -> None:
    decoder = Decoder(LineFormat("key=value"), Mapping.parse("load=load,time=t"))
    assert len(decoder.feed(b"t=1;load=41.5\nt=2;load=4")) == 1
    batch = decoder.finish(last_line_whole=False)
    assert len(batch) == 0
    assert batch.rejects[0].kind == "unfinished line at the end"
    decoder = Decoder(LineFormat("key=value"), Mapping.parse("load=load,time=t"))
    decoder.feed(b"t=1;load=41.5\nt=2;load=4")
    assert decoder.finish(last_line_whole=True).load_pct.tolist() == [4.0]


def test_a_break_in_the_link_drops_the_half_line_and_is_a_gap() -> None:
    decoder = Decoder(LineFormat("key=value"), Mapping.parse("load=load,time=t"))
    decoder.feed(b"t=1;load=41.5\nt=2;lo")
    assert decoder.interrupt("link lost").rejects[0].line_number == 2
    batch = decoder.feed(b"t=4;load=40\n")
    assert batch.load_pct.tolist() == [40.0]
    (gap,) = batch.gaps
    assert (gap.start_s, gap.end_s, gap.reason) == (0.0, 3.0, "link lost")


def test_listening_that_began_in_mid_line_does_not_invent_a_value() -> None:
    mapping = Mapping.parse("load=2,time=1")
    decoder = Decoder(LineFormat(), mapping, first_line_whole=False)
    batch = decoder.feed(b"2.5,41\n13.0,42\n")  # was perhaps 12.5,41
    assert batch.load_pct.tolist() == [42.0]
    assert batch.rejects[0].kind == "may have begun before we listened"


def test_silence_is_a_gap() -> None:
    decoder = Decoder(LineFormat("key=value"), Mapping.parse("load=load,time=t,gap_after=2"))
    batch = decoder.feed(b"t=1;load=41\nt=3;load=42\nt=5.5;load=43\n")
    assert [(gap.start_s, gap.end_s) for gap in batch.gaps] == [(2.0, 4.5)]


# -- sources ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "url", ["", "nonsense", "tcp://", "tcp://host", "tcp://h:99999", "http://host", "ftp:x"]
)
def test_a_source_that_is_none(url: str) -> None:
    with pytest.raises(InputError, match="tcp://host:port"):
        open_source(url)


@pytest.mark.parametrize(
    "url", ["csv:x?fast=1", "replay:x?follow=1", "serial:/dev/ttyX?speed=1", "serial:/dev/x?baud=7"]
)
def test_an_option_that_a_source_does_not_have(url: str) -> None:
    with pytest.raises(InputError):
        open_source(url)


def test_a_port_that_is_not_there_lists_those_that_are() -> None:
    source = open_source("serial:/dev/ttyNOT_THERE?baud=19200")
    with pytest.raises(SourceError, match=r"no such port.*ports found here.*plugged in") as caught:
        source.open()
    assert "\n" not in str(caught.value)


def test_a_tcp_port_where_nobody_listens() -> None:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    with pytest.raises(SourceError, match=r"refused.*sending program started"):
        open_source(f"tcp://127.0.0.1:{port}").open()
    with pytest.raises(SourceError, match="name is not known"):
        open_source("tcp://no-such-host.invalid:7878").open()
