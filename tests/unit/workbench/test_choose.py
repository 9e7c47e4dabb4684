"""Choosing, starting and planning through the workbench and the command line."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import START, example_trial
from trials.errors import ConflictError, InputError
from trials.model import CAUTIONS, Drill, Overrule, Work
from trials.workbench import Workbench

SAMPLES = Path(__file__).parents[3] / "sample_runs" / "choosing"
OWN = """
[materials."structural steel"]
kc1_1_n_per_mm2 = 2000.0
speed_m_per_min = { carbide = "200 sfm" }
[rules.length]
flute_left_xd = 1.0
source = "our own records"
"""


@pytest.fixture
def bench(tmp_path: Path) -> Workbench:
    with Workbench.open(tmp_path / "shop") as opened:
        yield opened  # type: ignore[misc]  # a fixture


def test_a_shops_own_catalogue_goes_before(bench: Workbench) -> None:
    steel = Work("S355", "P", like="Structural  Steel")
    trial = example_trial("own", work=steel)
    before = bench.begin(trial, "plain").start
    (bench.folder / "catalogue.toml").write_text(OWN, encoding="utf-8")
    after = bench.begin(trial, "plain").start
    assert after.cutting_data.speed_m_per_min < before.cutting_data.speed_m_per_min
    assert after.torque_n_m > before.torque_n_m
    assert any("your catalogue.toml" in reason for reason in after.reasons)
    # 25 + 8.5 mm are enough now; by the usual rule 25 + 17 would be needed.
    drill = replace(trial.drills[0], flute_length_mm=34.0)
    [verdict, *_] = bench.begin(replace(trial, drills=(drill,))).screening.verdicts
    assert (verdict.outcome, verdict.source) == ("fits", "our own records")
    # What a trial is begun with stays with it.
    stored = bench.new_trial(trial)
    assert stored.work.kc1_1_n_per_mm2 == 2000.0
    (bench.folder / "catalogue.toml").unlink()
    assert bench.trial("own").work.kc1_1_n_per_mm2 == 2000.0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[materials."structural steel"]\nkc1_1_n_per_mm2 = -5', "structural steel.kc1_1"),
        ("[materials.P]\nmcc = 0.2", "Is mc meant?"),
        ("[substrates.hss]\nself_centring = 1", "true or false"),
        ("[substrate.hss]\nx = 1", "Is substrates meant?"),
        ('[materials."my steel"]\nmc = 0.2', "missing"),
        ("[rules.depth]\nspeed_share = [0.9]", "as many values in each"),
        ("[coatings.TiN]\nsuits = ['X']", "P, M, K, N, S, H"),
        ("[materials.P]\nhardness_hb = [300, 100]", "the lower one first"),
        ("[materials.P]\nmc = nan", "0 to 0.9"),
        ("not toml", "not valid TOML"),
    ],
)  # fmt: skip
def test_a_wrong_catalogue_names_file_and_place(bench: Workbench, text: str, says: str) -> None:
    (bench.folder / "catalogue.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        bench.catalogue()
    assert "catalogue.toml" in str(caught.value)
    assert says in str(caught.value)


def test_a_material_that_is_not_there_names_the_nearest(bench: Workbench) -> None:
    trial = example_trial("t", work=Work("S355", "P", like="structual steel"))
    with pytest.raises(InputError, match="Is structural steel meant"):
        bench.choose(trial)
    wrong = example_trial("t", work=Work("S355", "M", like="structural steel"))
    with pytest.raises(InputError, match="the group of the work"):
        bench.choose(wrong)


def test_overruling_is_kept_and_can_be_taken_back(bench: Workbench) -> None:
    short = Drill("short", 8.5, flute_length_mm=30.0, coating="TiAlN")
    wide = replace(example_trial().hole, tolerance="H11")
    bench.new_trial(example_trial("t", drills=(short,), hole=wide))
    assert bench.choose("t").candidates[0].screening.outcome == "does not fit"
    bench.overrule("t", Overrule("short", "flute length", "short chips here", "A. N."))
    [candidate] = bench.choose("t").candidates
    assert candidate.screening.outcome == "fits with a condition"
    assert "A. N.: short chips here" in {v.overruled for v in candidate.screening.verdicts}
    assert "A. N.: short chips here" in bench.card(bench.begin("t"))
    with pytest.raises(InputError, match="machine's limits stay"):
        bench.overrule("t", Overrule("short", "thrust", "I know better"))
    with pytest.raises(InputError, match="one of flute length"):
        bench.overrule("t", Overrule("short", "flutes", "I know better"))
    with pytest.raises(InputError, match="1 to 500 characters"):
        Overrule("short", "coating", "  ")
    bench.hold_again("t", "short", "flute length")
    assert bench.trial("t").overruled == ()


def test_each_drill_may_have_a_start_of_its_own(bench: Workbench) -> None:
    cobalt = Drill("cobalt", 8.5, "cobalt", point_angle_deg=135)
    bench.new_trial(example_trial("t", drills=(*example_trial().drills, cobalt)))
    assert bench.trial("t").start_of("cobalt")[0] == START
    bench.use_start("t", "cobalt")
    start, bounds = bench.trial("t").start_of("cobalt")
    assert start.speed_m_per_min < 35
    assert bounds.speed_m_per_min[1] < 60
    assert bench.trial("t").start == START
    run = bench.plan_run("t", start, drill="cobalt")
    assert run.drill == "cobalt"
    with pytest.raises(ConflictError, match="it has runs already"):
        bench.use_start("t", "cobalt")


class _Page(HTMLParser):
    """Open and closed tags, and what a page fetches."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.outside: list[str] = []
        self.tags: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.outside += [str(value) for name, value in attrs if name in ("src", "href")]
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, _attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_the_card_is_whole_safe_and_needs_nothing_from_outside(
    bench: Workbench, system: str
) -> None:
    trial = example_trial("<script>alert(1)</script>", hole=replace(example_trial().hole,
                          through=True))  # fmt: skip
    found = bench.begin(trial, plate_mm=(200.0, 100.0), clamp_mm=10.0)
    card = bench.card(found, system)  # type: ignore[arg-type]  # parametrized text
    page = _Page(card)
    assert page.open == []
    assert page.outside == []
    assert "script" not in page.tags
    assert CAUTIONS.split(".")[0] in card
    # What is typed in is never rounded up: 1000·v/(π·D) and n·f, cut off.
    assert f"{int(found.start.rpm):,} /min" in card
    if system == "metric":
        assert f">{int(found.start.feed_rate_mm_per_min):,} mm/min<" in card
    else:
        tenths = int(found.start.feed_rate_mm_per_min / 25.4 * 10) / 10
        assert f">{tenths:g} in/min<" in card


def test_positions_as_csv_in_both_systems(bench: Workbench) -> None:
    found = bench.begin(example_trial(), plate_mm=(254.0, 127.0))
    metric = list(csv.DictReader(io.StringIO(bench.grid_csv(found))))
    inch = list(csv.DictReader(io.StringIO(bench.grid_csv(found, "inch"))))
    assert list(metric[0]) == ["number", "plate", "row", "column", "x_mm", "y_mm"]
    assert len(metric) == len(inch) == len(found.grid.holes)  # type: ignore[union-attr]  # given
    for one, other in zip(metric, inch, strict=True):
        assert float(one["x_mm"]) == pytest.approx(25.4 * float(other["x_in"]), abs=0.002)
    with pytest.raises(InputError, match="no plate was given"):
        bench.grid_csv(bench.begin(example_trial()))


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("choose",), "one of them"),
        (("choose", "nobody"), "trial"),
        (("choose", "--file", "no-such.toml"), "cannot be read"),
        (("plan", "--file", "{case}", "--plate", "200"), "two lengths"),
        (("plan", "--file", "{case}", "--plate", "5x5"), "at least"),
        (("plan", "--file", "{case}", "--plate", "-5x50"), "more than 0"),
        (("plan", "--file", "{case}", "--plate", "200x100", "--thickness", "5"), "thickness"),
        (("start", "--file", "{case}", "--drill", "nobody"), "one of"),
        (("start", "--file", "{case}", "--use"), "stored trial"),
        (("choose", "--file", "{case}", "--overrule", "coating"), "stored trial"),
    ],
)
def test_what_cannot_be_is_said(tmp_path: Path, arguments: tuple[str, ...], says: str) -> None:
    case = str(SAMPLES / "11-press-die" / "trial.toml")
    answer = holewise(*(part.replace("{case}", case) for part in arguments), data=tmp_path / "s")
    assert answer.status == 1
    assert says in answer.err
    assert answer.err.count("\n") == 1


def test_a_card_is_not_written_over(tmp_path: Path) -> None:
    case, card = SAMPLES / "11-press-die" / "trial.toml", tmp_path / "card.html"
    card.write_text("mine")
    line = ("plan", "--file", case, "--card", card)
    assert holewise(*line, data=tmp_path / "s").status == 1
    assert card.read_text() == "mine"
    assert holewise(*line, "--replace", data=tmp_path / "s").status == 0
    assert "card for the machine" in card.read_text()


def test_inch_and_metric_are_both_shown(tmp_path: Path) -> None:
    case = SAMPLES / "02-pump-shaft" / "trial.toml"
    answer = holewise("--units", "inch", "start", "--file", case, data=tmp_path / "s")
    assert answer.status == 0, answer.err
    # 80 m/min are 262.47 ft/min; 0.17 mm/rev are 0.00669 in/rev.
    assert "262 ft/min, 0.0067 in/rev" in answer.out
    assert " m/min" not in answer.out
    assert "mm/rev" not in answer.out
