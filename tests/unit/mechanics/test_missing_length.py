"""A standard length that does not exist at a diameter speaks against that drill alone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tests.helpers.example_trial import example_trial
from trials.mechanics import screen, screen_drill, ways_out
from trials.mechanics.catalogue import no_such_length
from trials.model import Drill, HoleFeature, Overrule
from trials.workbench import Workbench

# DIN 1897, 338 and 340 end well below 60 mm (the catalogue's own rows name their sources).
WIDE = 60.0


def wide_trial():  # type: ignore[no-untyped-def]  # a Trial
    return example_trial(
        hole=HoleFeature(WIDE, 90.0),
        drills=(
            Drill("no such", WIDE, substrate="cobalt", length="jobber", price=80.0),
            Drill("special", WIDE, substrate="cobalt", flute_length_mm=220.0, price=180.0),
        ),
    )


def test_other_drills_are_judged_and_this_one_says_why() -> None:
    found = {one.drill.name: one for one in screen(wide_trial())}
    assert list(found) == ["special", "no such"]
    [against] = [one for one in found["no such"].against if one.rule == "flute length"]
    assert "there is no such drill" in against.reason
    assert "DIN 338" in against.limit
    assert not [one for one in found["special"].against if one.rule == "flute length"]


def test_a_way_out_is_another_length() -> None:
    trial = example_trial(drills=(Drill("short", 8.5, length="carbide_short"),))
    assert no_such_length(trial.drill()) == ""
    wide = wide_trial()
    for way in ways_out(wide, wide.drill("no such")):
        assert not no_such_length(way.trial.drill("no such"))


def test_a_person_may_overrule_it_like_any_length() -> None:
    trial = wide_trial()
    overruled = replace(trial, overruled=(Overrule("no such", "flute length", "we have one"),))
    rules = {one.rule for one in screen_drill(overruled, trial.drill()).against}
    assert "flute length" not in rules


def test_the_whole_list_comes_out_of_the_workbench(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        choice = bench.choose(wide_trial())
    assert {one.screening.drill.name for one in choice.candidates} == {"no such", "special"}
