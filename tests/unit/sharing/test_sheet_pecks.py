"""Pecking and drills in a shop's own sheet, as people write them in one cell."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import example_trial
from trials.errors import InputError
from trials.sharing.sheet_cells import DecimalMark, read_peck
from trials.sharing.sheet_words import PECKS_CALLED, made_of
from trials.workbench import Workbench


@pytest.mark.parametrize(
    ("cell", "decimal", "means"),
    [
        ("chip break", ".", ("chip_break", None, None)),
        ("Spanbruch 1xD", ",", ("chip_break", None, 1.0)),
        ("Entspänen 1,5 x D", ",", ("full_retract", None, 1.5)),
        ("0.25 in, chip break", ".", ("chip_break", 6.35, None)),
        ("G83 Q3", ".", ("full_retract", 3.0, None)),
        ("G73 Q2.5", ".", ("chip_break", 2.5, None)),
        ("2 × D", ".", (None, None, 2.0)),
        ("2,5", ",", (None, 2.5, None)),
        ("none", ".", ("none", None, None)),
        ("0", ".", (None, None, None)),
        ("nein", ",", ("none", None, None)),
    ],
)
def test_pecking_in_one_cell(
    cell: str, decimal: DecimalMark, means: tuple[str | None, float | None, float | None]
) -> None:
    mode, depth_mm, depth_xd = read_peck(cell, "here", decimal, PECKS_CALLED)
    assert mode == means[0]
    assert depth_mm == (None if means[1] is None else pytest.approx(means[1]))
    assert depth_xd == means[2]


@pytest.mark.parametrize("cell", ["sideways", "=1+1", "1.5.2 mm", "sometimes 2 x D"])
def test_what_is_no_pecking_is_refused(cell: str) -> None:
    with pytest.raises(InputError):
        read_peck(cell, "here", ".", PECKS_CALLED)


@pytest.mark.parametrize(
    ("name", "substrate"),
    [("VHM 8,5 TiAlN", "carbide"), ("HSS-Co 8.5", "cobalt"), ("3/8 carbide", "carbide"),
     ("HSS jobber", "hss"), ("drill A", None), ("carbide or HSS", None)],
)  # fmt: skip
def test_what_a_drill_is_made_of_by_its_name(name: str, substrate: str | None) -> None:
    assert made_of(name) == substrate


def test_mixed_pecking_comes_in_with_no_word_said(tmp_path: Path) -> None:
    data = tmp_path / "shop"
    with Workbench.open(data) as bench:
        bench.new_trial(example_trial())
        diameter_mm = bench.trial("bracket").hole.diameter_mm
    sheet = tmp_path / "runs.csv"
    sheet.write_bytes(
        b"\xef\xbb\xbfBohrer;Vc;f;Entspanen;Standmenge\r\nplain;80;0,18;nein;312\r\n"
        b"plain;80;0,18;Spanbruch 1xD;400\r\nplain;80;0,18;Ausspanen 4,25 mm;350\r\n"
        b"VHM neu;120;0,2;nein;900\r\n"
    )
    stored = holewise("import-runs", sheet, "--yes", data=data)
    assert "Stored 4 runs" in stored.out, stored.out + stored.err
    with Workbench.open(data) as bench:
        data_of = [run.cutting_data for run in bench.runs("bracket")]
        assert [(one.peck_mode, one.peck_depth_xd) for one in data_of[1:3]] == [
            ("chip_break", 1.0),
            ("full_retract", pytest.approx(4.25 / diameter_mm, abs=1e-4)),
        ]
        assert bench.trial("bracket").drill("VHM neu").substrate == "carbide"
