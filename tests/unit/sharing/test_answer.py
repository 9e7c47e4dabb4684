"""Answers of a representative: written without a shop, checked by the shop, used as runs."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import InputError
from trials.model import CuttingData
from trials.sharing import (
    REMOVALS,
    Proposal,
    Remark,
    answer_package,
    read_cutting_data,
    read_proposals,
    verify_package,
)
from trials.workbench import Workbench


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    fill_shop(tmp_path / "shop", tmp_path)
    return tmp_path / "shop"


def export(shop: Path, path: Path, **how: object) -> Path:
    with Workbench.open(shop) as bench:
        bench.export(NAME, path, **how)  # type: ignore[arg-type]  # named as its arguments
    return path


def test_an_answer_comes_back_by_commands_and_becomes_a_run(shop: Path, tmp_path: Path) -> None:
    package = export(shop, tmp_path / "a.zip", remove=("prices", "people"))
    nowhere = tmp_path / "no shop"
    done = holewise(
        "package", "answer", package, "--out", tmp_path / "b.zip", "--remark", "Looks like heat.",
        "--run", "1", "--propose", "90 m/min, 0,18 mm/rev", "--propose",
        "9000 sfm; 0.05 in/rev; chip_break 1 xD", "--drill", "coated", "--why", "less wear",
        "--by", "Kim, Drills", data=nowhere,
    )  # fmt: skip
    assert done.status == 1
    assert "at most 2000 m/min" in done.err, "more than any drill can do"
    done = holewise(
        "package", "answer", package, "--out", tmp_path / "b.zip", "--remark", "Looks like heat.",
        "--run", "1", "--propose", "90 m/min, 0,18 mm/rev", "--propose",
        "900 sfm; 0.05 in/rev; chip_break 1 xD", "--drill", "coated", "--why", "less wear",
        "--by", "Kim, Drills", data=nowhere,
    )  # fmt: skip
    assert done.status == 0, done.err
    assert not nowhere.exists()
    assert "1 remarks and 2 proposals" in done.out

    shown = holewise("package", "import", tmp_path / "b.zip", "--preview", data=shop)
    assert "Remark of Kim, Drills on run 1: Looks like heat." in shown.out
    assert "cannot be drilled here: cutting data beyond the machine" in shown.out
    assert "Differs" not in shown.out, "what was left out is no difference"
    taken = holewise("package", "import", tmp_path / "b.zip", data=shop)
    assert taken.status == 0, taken.err
    again = holewise("package", "import", tmp_path / "b.zip", data=shop)
    assert "Nothing to do" in again.out

    refused = holewise("proposals", NAME, "--use", "2", data=shop)
    assert "beyond the machine" in refused.err
    with Workbench.open(shop) as bench:
        bench.end_run(NAME, 3, "stopped", holes=1)
    used = holewise("proposals", NAME, "--use", "1", data=shop)
    assert "Run 4" in used.out
    assert "Kim, Drills (b.zip): less wear" in used.out
    with Workbench.open(shop) as bench:
        run = bench.run(NAME, 4)
        assert (run.origin, run.drill) == ("proposal", "coated")
        assert run.cutting_data == CuttingData(90.0, 0.18)
        assert bench.proposals(NAME)[0].run == 4
        assert bench.trial(NAME).drill("coated").price == 120.0, "left out, not lost"
    twice = holewise("proposals", NAME, "--use", "1", data=shop)
    assert "run 4 already" in twice.err
    listed = holewise("proposals", NAME, data=shop)
    assert "too much for the machine" in listed.out


@pytest.mark.parametrize("remove", [(), tuple(REMOVALS)], ids=["whole", "all removed"])
def test_with_photos_remarks_and_proposals_out_in_and_out_is_identical(
    shop: Path, tmp_path: Path, remove: tuple[str, ...]
) -> None:
    answered = tmp_path / "answered.zip"
    answer_package(
        export(shop, tmp_path / "a.zip"), answered, made_by="Kim",
        remarks=[Remark("=not a formula"), Remark("of run 2", 2)],
        proposals=[Proposal("coated", CuttingData(90.0, 0.2, "chip_break", 1.5), "why not"),
                   Proposal("plain", CuttingData(70.0, 0.2))],
    )  # fmt: skip
    with Workbench.open(shop) as bench:
        bench.import_package(answered)
        bench.end_run(NAME, 3, "stopped", holes=1)
        bench.use_proposal(NAME, 1)
    first = export(shop, tmp_path / "c.zip", remove=remove).read_bytes()
    with Workbench.open(tmp_path / "other") as other:
        taken = other.import_package(tmp_path / "c.zip")
        assert (len(taken.remarks), len(taken.proposals)) == (2, 2)
        assert taken.new_photos == (0 if remove else 1)
        name = taken.trial
        other.export(name, tmp_path / "d.zip")
        assert other.proposals(name)[0].run == 4
        assert other.run(name, 4).origin == "proposal"
    assert (tmp_path / "d.zip").read_bytes() == first


def test_the_answer_changes_nothing_else(shop: Path, tmp_path: Path) -> None:
    import zipfile

    package = export(shop, tmp_path / "a.zip", licence="CC-BY-4.0")
    before = package.read_bytes()
    answer_package(package, tmp_path / "b.zip", remarks=[Remark("fine")])
    assert package.read_bytes() == before
    changed = set()
    with zipfile.ZipFile(package) as one, zipfile.ZipFile(tmp_path / "b.zip") as other:
        assert one.namelist() == other.namelist()
        changed = {name for name in one.namelist() if one.read(name) != other.read(name)}
    assert changed == {"remarks.csv", "datapackage.json"}
    same = answer_package(tmp_path / "b.zip", tmp_path / "c.zip", remarks=[Remark("fine")])
    assert same == (0, 0), "the same remark is there once"
    assert verify_package(tmp_path / "c.zip").licence == "CC-BY-4.0"


def test_an_answer_names_runs_and_drills_that_there_are(shop: Path, tmp_path: Path) -> None:
    package = export(shop, tmp_path / "a.zip")
    for odd in (
        {"remarks": [Remark("x", 77)]},
        {"proposals": [Proposal("another", CuttingData(80, 0.1))]},
    ):
        with pytest.raises(InputError):
            answer_package(package, tmp_path / "b.zip", **odd)  # type: ignore[arg-type]  # as named
    assert not (tmp_path / "b.zip").exists()


# As spreadsheet programs save the table that lies in the package, and a table of one's own.
SHEETS = {
    "its own table, semicolons and decimal commas": (
        "run;uuid;drill;speed_m_per_min;feed_mm_per_rev;peck_mode;peck_depth_xd;why\n"
        ";;Coated;92,5;0,21;chip_break;1,5;less heat\n;;;80;0,2;;;\n"
    ),
    "a table of one's own": (
        "Bohrer;Vc [m/min];f [mm/U];Bemerkung\nCoated;92,5;0,21;less heat\nplain;80;0,2;\n"
    ),
}


@pytest.mark.parametrize("what", SHEETS)
def test_proposals_are_filled_in_in_a_spreadsheet(what: str, shop: Path, tmp_path: Path) -> None:
    data = SHEETS[what].encode("utf-8-sig")
    found = read_proposals(data, "p.csv", ["plain", "coated"])
    assert [(one.drill, one.cutting_data.speed_m_per_min) for one in found] == [
        ("coated", 92.5), ("plain", 80.0),
    ]  # fmt: skip
    assert found[0].why == "less heat"
    (tmp_path / "p.csv").write_bytes(data)
    with Workbench.open(shop) as bench:
        assert bench.import_proposals(NAME, tmp_path / "p.csv", made_by="Kim") == 2
        assert bench.import_proposals(NAME, tmp_path / "p.csv", made_by="Kim") == 0
        bench.undo_import(NAME)
        assert bench.proposals(NAME) == []


@pytest.mark.parametrize("text", ["90 m/min", "fast, 0.1", "90, 0.1, sideways 1 xD",
                                  "90, 0.1, chip_break", "1e999, 0.1", "=90, 0.1"])  # fmt: skip
def test_cutting_data_that_cannot_be_read_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_cutting_data(text)
