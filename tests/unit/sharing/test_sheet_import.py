"""A shop's own sheet of earlier runs, as spreadsheet programs write it, becomes runs."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import example_trial
from trials.errors import ConflictError, InputError, NotFoundError
from trials.sharing import SheetChoices
from trials.workbench import Workbench

# As a German spreadsheet program saves it: title rows padded with semicolons, decimal commas,
# a mark between thousands, CRLF and a byte order mark.
GERMAN = """\
Bohrversuche, erfundene Werte;;;;;;;;
;;;;;;;;
Versuch;Bohrer;Vc [m/min];f [mm/U];Bohrungen;VB max [mm];Spindellast [%];Ende;Datum
1;plain;80,5;0,18;240;0,31;62,5;verschlissen;03.02.2026
2;plain;95;0,18;150;0,33;70;Bruch;05.02.2026
3;Coated;95;0,2;1.200;0,12;65;gestoppt;07.02.2026
""".replace("\n", "\r\n")


@pytest.fixture
def bench(tmp_path: Path) -> Workbench:
    bench = Workbench.open(tmp_path / "shop")
    bench.new_trial(example_trial())
    return bench


def sheet(tmp_path: Path, text: str, encoding: str = "utf-8") -> Path:
    path = tmp_path / "runs.csv"
    path.write_bytes(text.encode(encoding))
    return path


def facts(bench: Workbench) -> list[tuple[object, ...]]:
    return [
        (run.drill, run.cutting_data.speed_m_per_min, run.cutting_data.feed_mm_per_rev, run.holes,
         run.end, run.wear[0].largest_mm if run.wear else None)
        for run in bench.runs("bracket")
    ]  # fmt: skip


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-8", "utf-16", "utf-16-le", "cp1252"])
def test_a_german_sheet_comes_in_with_no_word_said(tmp_path: Path, encoding: str) -> None:
    data = tmp_path / "shop"
    with Workbench.open(data) as bench:
        bench.new_trial(example_trial())
    path = sheet(tmp_path, GERMAN, encoding)
    shown = holewise("import-runs", path, data=data)
    assert shown.status == 0, shown.err
    assert "Nothing was stored" in shown.out
    stored = holewise("import-runs", path, "--yes", data=data)
    assert "Stored 3 runs" in stored.out
    with Workbench.open(data) as bench:
        assert facts(bench) == [
            ("plain", 80.5, 0.18, 240, "worn", 0.31),
            ("plain", 95.0, 0.18, 150, "broken", 0.33),
            ("coated", 95.0, 0.2, 1200, "stopped", 0.12),
        ]
        assert bench.runs("bracket")[0].load_worn_pct == 62.5
        assert "runs.csv, line 4" in bench.runs("bracket")[0].note
        planned = bench._shop.store.run("bracket", 1).planned_utc
    assert f"{planned:%Y-%m-%d}" == "2026-02-03"


OTHERS = {
    "inch, by its units": (
        (
            "Date,Tool,SFM,IPR,Holes,Wear (in),Reason\n"
            '3/14/2026,plain,262.467,0.0071,"1,150",0.012,worn out\n'
        ),
        ("plain", 80.0, 0.18034, 1150, "worn", 0.3048),
    ),
    "French, with a row of units": (
        (
            "Essai;Foret;Vitesse de coupe;Avance;Nombre de trous;Usure;Motif de fin\n"
            ";;m/min;mm/tr;;µm;\n1;plain;80,5;0,18;240;310;usé\n"
        ),
        ("plain", 80.5, 0.18, 240, "worn", 0.31),
    ),
    "Italian, by spindle speed and feed rate": (
        (
            "Punta;Giri [giri/min];Vf [mm/min];Fori;Usura [mm];Causa\n"
            "plain;3000;540;240;0,31;rottura\n"
        ),
        ("plain", 80.111, 0.18, 240, "broken", 0.31),  # pi · 8.5 mm · 3000 /min; 540 / 3000
    ),
    "Spanish": (
        (
            "Broca;Velocidad de corte (m/min);Avance (mm/vuelta);Número de agujeros;Desgaste (mm);"
            "Resultado;Fecha\nplain;80,5;0,18;240;0,31;desgastada;14/03/2026\n"
        ),
        ("plain", 80.5, 0.18, 240, "worn", 0.31),
    ),
    "tabs, units in the cells, a life": (
        "drill\tspeed\tfeed\ttool life\tVB\nplain\t80.5 m/min\t0.18 mm/rev\t240\t0.31 mm\n",
        ("plain", 80.5, 0.18, 240, "worn", 0.31),
    ),
    "a length drilled": (
        "Bohrer;Vc m/min;f mm/U;Standweg [m]\nplain;80,5;0,18;6\n",
        ("plain", 80.5, 0.18, 240, "worn", None),  # 6 m of holes of 25 mm
    ),
    "quoted commas": (
        'drill,"speed, m/min",feed (mm/rev),holes,end\nplain,"80,5","0,18",240,stopped\n',
        ("plain", 80.5, 0.18, 240, "stopped", None),
    ),
}


@pytest.mark.parametrize("what", OTHERS)
def test_sheets_of_other_shops(bench: Workbench, tmp_path: Path, what: str) -> None:
    text, wanted = OTHERS[what]
    bench.import_runs(sheet(tmp_path, text))
    (found,) = facts(bench)
    for one, other in zip(found, wanted, strict=True):
        assert one == (pytest.approx(other, rel=1e-5) if isinstance(other, float) else other)


def test_the_same_sheet_again_and_a_longer_one_make_no_duplicates(
    bench: Workbench, tmp_path: Path
) -> None:
    bench.import_runs(sheet(tmp_path, GERMAN))
    again = bench.import_runs(sheet(tmp_path, GERMAN))
    assert (len(again.new), again.here) == (0, 3)
    more = GERMAN + "4;plain;95;0,18;150;0,33;70;Bruch;05.02.2026\r\n"  # as run 2, but another
    assert len(bench.import_runs(sheet(tmp_path, more)).new) == 1
    assert len(bench.runs("bracket")) == 4


def test_it_can_be_taken_out_again_until_it_is_worked_on(bench: Workbench, tmp_path: Path) -> None:
    text = "drill;vc;f;holes\nplain;80;0,18;240\nnew one;80;0,18;300\n"
    path = sheet(tmp_path, text)
    bench.import_runs(path, choices=SheetChoices(new_drills="cobalt"))
    assert [(d.name, d.substrate) for d in bench.trial("bracket").drills][2:] == [
        ("new one", "cobalt")
    ]
    bench.undo_import("bracket")
    assert bench.runs("bracket") == []
    assert bench.trial("bracket") == example_trial()
    with pytest.raises(NotFoundError):
        bench.undo_import("bracket")
    bench.import_runs(path, choices=SheetChoices(new_drills="cobalt"))
    from trials.model import WearReading

    bench.add_wear("bracket", 1, WearReading(100, 0.1))
    with pytest.raises(ConflictError, match="run 1"):
        bench.undo_import("bracket")
    assert len(bench.runs("bracket")) == 2


def test_columns_are_corrected_by_a_person(bench: Workbench, tmp_path: Path) -> None:
    path = sheet(tmp_path, "A;B;C;drill;holes\n80;0,18;240;plain;9\n")
    with pytest.raises(InputError, match=r"no column was found for the speed.*--map"):
        bench.import_runs(path)
    said = {"A": "speed_m_per_min", "2": "feed_mm_per_rev", "C": "holes", "holes": "-"}
    found = bench.preview_runs(path, choices=SheetChoices(said))
    assert [(one.header, one.field, one.sure) for one in found.found.columns] == [
        ("A", "speed_m_per_min", "said"), ("B", "feed_mm_per_rev", "said"), ("C", "holes", "said"),
        ("drill", "drill", "sure"), ("holes", None, "said"),
    ]  # fmt: skip
    assert found.new[0].run.holes == 240
    for wrong in ({"Z": "holes"}, {"A": "colour"}):
        with pytest.raises(InputError):
            bench.preview_runs(path, choices=SheetChoices(wrong))


HEAD = "drill;vc [m/min];f [mm/rev];holes;end;day\n"
ROWS = {
    "a formula": ("plain;=80;0,18;240;worn;", "column vc.*formula"),
    "a formula in a name": ("@plain;80;0,18;240;worn;", "column drill.*formula"),
    "enormous": ("plain;1e999;0,18;240;worn;", "column vc.*0.01 to 2,000 m/min"),
    "more digits than any machine": ("plain;80;0,18;" + "9" * 25 + ";worn;", "column holes"),
    "infinite": ("plain;80;inf;240;worn;", "column f.*a number"),
    "not a number": ("plain;nan;0,18;240;worn;", "column vc.*a number"),
    "half a hole": ("plain;80;0,18;2,5;worn;", "column holes.*whole number"),
    "nothing": ("plain;80;0,18;;worn;", "column holes.*empty"),
    "an end nobody knows": ("plain;80;0,18;240;exploded;", "column end.*worn, stopped"),
    "a drill nobody knows": ("other;80;0,18;240;worn;", "column drill.*plain, coated"),
    "another delimiter": ("plain,80,0.18,240,worn", "got 1; allowed: 6 cells"),
    "a cell too many": ("plain;80;0,18;240;worn;;x", "got 7; allowed: 6 cells"),
    "two readings": ("plain;1.234;0,18;240;worn;", "column vc.*one way only"),
    "a day in two ways": ("plain;80;0,18;240;worn;3/4/2026", "column day.*one way only"),
    "no day": ("plain;80;0,18;240;worn;31.02.2026", "column day"),
    "a unit of another kind": ("plain;80 kg;0,18;240;worn;", "column vc.*m/min"),
}


@pytest.mark.parametrize("what", ROWS)
def test_rows_that_cannot_be_are_refused_with_their_place(
    bench: Workbench, tmp_path: Path, what: str
) -> None:
    row, reason = ROWS[what]
    path = sheet(tmp_path, f"{HEAD}plain;80,5;0,18;240;worn;\n{row}\n")
    with pytest.raises(InputError, match=f"line 3.*{reason}"):
        bench.import_runs(path)
    assert bench.runs("bracket") == []
    taken = bench.import_runs(path, skip_refused=True)
    assert (len(taken.new), [one.line for one in taken.found.refused]) == (1, [3])


FILES: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "empty"),
    "NUL": (HEAD.encode() + b"plain;80\x00;1;1;worn;\n", "line 2: a control character"),
    "a workbook": (b"PK\x03\x04" + bytes(100), "workbook"),
    "a million columns": (HEAD.encode() + b";" * 1_000_000, "1,000,001 columns"),
    "no names": (b"1;2;3\n4;5;6\n", "no row that names its columns"),
    "quotes without an end": (HEAD.encode() + b'"plain;80\n' * 3, "from line 2"),
    "too large": (b"x" * 20_000_001, "20,000,001 bytes"),
    "a program": (b"\x7fELF" + bytes(range(256)), "control character|not text"),
}


@pytest.mark.parametrize("what", FILES)
def test_files_that_are_no_sheets_are_refused(bench: Workbench, tmp_path: Path, what: str) -> None:
    data, reason = FILES[what]
    path = tmp_path / "odd.csv"
    path.write_bytes(data)
    with pytest.raises(InputError, match=reason):
        bench.preview_runs(path)


def test_inches_without_a_unit_are_noticed(bench: Workbench, tmp_path: Path) -> None:
    path = sheet(tmp_path, "tool,speed,feed,holes\nplain,260,0.007,220\n")
    with pytest.raises(InputError, match=r"look like in/rev.*--inch"):
        bench.import_runs(path)
    bench.import_runs(path, choices=SheetChoices(inch=True))
    assert bench.runs("bracket")[0].cutting_data.feed_mm_per_rev == pytest.approx(0.1778)


def test_another_hole_or_material_does_not_belong_to_the_trial(
    bench: Workbench, tmp_path: Path
) -> None:
    path = sheet(
        tmp_path,
        "drill;material;d [mm];depth [mm];vc;f;holes\nplain;carbon steel;8,5;25;80;0,18;240\n"
        "plain;carbon steel;12;25;80;0,18;240\nplain;cast iron;8,5;25;80;0,18;240\n",
    )
    found = bench.preview_runs(path).found
    assert [(one.line, one.column) for one in found.refused] == [(3, "d [mm]"), (4, "material")]


def test_which_trial_is_asked_where_it_is_open(tmp_path: Path) -> None:
    path = sheet(tmp_path, GERMAN)
    with Workbench.open(tmp_path / "two") as bench:
        with pytest.raises(NotFoundError, match="Begin one"):
            bench.preview_runs(path)
        for name in ("one", "two"):
            bench.new_trial(example_trial(name))
        with pytest.raises(ConflictError, match="one of"):
            bench.preview_runs(path)
        assert bench.import_runs(path, "two").trial == "two"
