"""The worked cases of sample_runs/choosing through the command line.

What is expected stands in each ``expected.toml``, worked out by hand from the rules and the tables
named there, before the program was asked.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.command_line import holewise
from trials.mechanics import RULE_NAMES
from trials.model import CAUTIONS, ISO_GROUPS
from trials.sharing import read_trial

CASES = sorted((Path(__file__).parents[2] / "sample_runs" / "choosing").glob("*/trial.toml"))
_VERDICT = re.compile(r"^  [+!x] (fits|fits with a condition|does not fit): ([^:]+): (.*)$")
_FOUND = re.compile(r"^      found (.*) \| needed (.*) \| (.*)$")


@pytest.fixture(scope="module", params=CASES, ids=lambda path: path.parent.name)
def case(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Expected results, the trial file and a data folder."""
    path: Path = request.param
    expected = tomllib.loads((path.parent / "expected.toml").read_text(encoding="utf-8"))
    return expected, path, tmp_path_factory.mktemp("shop")


def test_there_are_twelve_and_they_cover_the_range() -> None:
    trials = [read_trial(path, any_start=True) for path in CASES]
    assert len(trials) == 12
    assert all(trial.invented for trial in trials)
    assert {trial.work.group for trial in trials} == set(ISO_GROUPS)
    assert min(trial.hole.diameter_mm for trial in trials) == 2.0
    assert max(trial.hole.diameter_mm for trial in trials) == 20.0
    assert min(trial.hole.depth_xd for trial in trials) == 1.0
    assert max(trial.hole.depth_xd for trial in trials) == 12.0
    assert any(trial.holes_to_make is None for trial in trials)
    assert min(trial.holes_to_make or 10**9 for trial in trials) <= 24


def chosen(case: Any) -> tuple[dict[str, Any], str]:
    """What ``choose`` says: for each drill its outcome and its verdicts by rule."""
    _, path, shop = case
    answer = holewise("choose", "--file", path, data=shop)
    assert answer.status == 0, answer.err
    drills: dict[str, Any] = {}
    names = [drill.name for drill in read_trial(path, any_start=True).drills]
    lines = answer.out.splitlines()
    for at, line in enumerate(lines):
        for name in names:
            if line.startswith(f"{name}: ") and line.endswith(("fits", "fit", "condition")):
                drills[name] = current = {"outcome": line.removeprefix(f"{name}: "), "rules": {}}
        found = _VERDICT.match(line)
        if found:
            below = _FOUND.match(lines[at + 1])
            assert below, lines[at + 1]
            current["rules"][found[2]] = {
                "outcome": found[1], "reason": found[3], "value": below[1], "limit": below[2],
                "source": below[3],
            }  # fmt: skip
    assert set(drills) == set(names)
    return drills, answer.out


def test_verdicts(case: Any) -> None:
    expected, _, _ = case
    drills, out = chosen(case)
    wanted = {expected["drill"]: expected, **expected.get("others", {})}
    for name, one in wanted.items():
        found = drills[name]
        assert found["outcome"] == one["outcome"], name
        assert tuple(found["rules"]) == RULE_NAMES
        rules = one.get("verdicts", {k: v for k, v in one.items() if isinstance(v, dict)})
        for rule, parts in rules.items():
            verdict = found["rules"][rule]
            assert verdict["outcome"] == parts["outcome"], (name, rule, verdict)
            for part in ("reason", "value", "limit"):
                assert parts.get(part, "") in verdict[part], (name, rule, verdict)
    for found in drills.values():
        assert all(all(verdict.values()) for verdict in found["rules"].values())
    # The best drill comes first.
    order = ("fits", "fits with a condition", "does not fit")
    places = [order.index(found["outcome"]) for found in drills.values()]
    assert places == sorted(places)
    assert CAUTIONS in out


def test_an_impossible_request_says_what_to_change(case: Any) -> None:
    expected, _, _ = case
    drills, out = chosen(case)
    for name, found in drills.items():
        part = out[out.index(f"{name}: {found['outcome']}") :]
        if found["outcome"] == "does not fit":
            assert "What would make it possible" in part
    if "way_out" in expected:
        ways = re.findall(r"^    - (.*)$", out, re.MULTILINE)
        assert any(expected["way_out"] in way for way in ways)


def test_first_cutting_data(case: Any) -> None:
    expected, path, shop = case
    if "start" not in expected:
        pytest.skip("no cutting data are expected: the drill is too soft or the hole too deep")
    answer = holewise("start", "--file", path, "--drill", expected["drill"], data=shop)
    assert answer.status == 0, answer.err
    wanted = expected["start"]
    data = re.search(r"^  ([\d.]+) m/min, ([\d.]+) mm/rev, (.*)$", answer.out, re.MULTILINE)
    assert data is not None, answer.out
    assert float(data[1]) == wanted["speed_m_per_min"]
    assert float(data[2]) == wanted["feed_mm_per_rev"]
    assert data[3] == wanted["pecks"]
    set_at = re.search(r"^  (\d+) /min, ([\d,]+) mm/min", answer.out, re.MULTILINE)
    assert set_at is not None, answer.out
    assert int(set_at[1]) == wanted["rpm"]
    assert int(set_at[2].replace(",", "")) == wanted["feed_rate_mm_per_min"]
    assert len(re.findall(r"^  (?:speed|feed) (?:from|to) .*: .+$", answer.out, re.MULTILINE)) == 4


def test_costs_before_any_test(case: Any) -> None:
    expected, _, _ = case
    _, out = chosen(case)
    if "costs" not in expected:
        pytest.skip("no cost is worked out for this case")
    wanted = expected["costs"]
    assert f"Is a trial worth it: {wanted['worth']}." in out
    assert "Not sure: no edge was tested" in out
    if "life" in wanted:
        row = re.search(rf"^{re.escape(expected['drill'])}\s+([\d,]+) \(([\d,]+) to ([\d,]+)\)",
                        out, re.MULTILINE)  # fmt: skip
        assert row is not None, out
        middle, low, high = (int(part.replace(",", "")) for part in row.groups())
        assert middle == pytest.approx(wanted["life"], abs=1)
        # Three times shorter or longer.
        assert (low, high) == (pytest.approx(middle / 3, abs=1), pytest.approx(3 * middle, abs=2))


def test_plan_and_card(case: Any, tmp_path: Path) -> None:
    expected, path, shop = case
    card = tmp_path / "card.html"
    if "start" not in expected:
        refused = holewise("plan", "--file", path, "--drill", expected["drill"], data=shop)
        assert refused.status in (0, 1)
        return
    answer = holewise(
        "plan", "--file", path, "--drill", expected["drill"], "--holes", "300", "--card", card,
        data=shop,
    )  # fmt: skip
    assert answer.status == 0, answer.err
    assert "Look at the drill after hole 1" in answer.out
    text = card.read_text(encoding="utf-8")
    assert f"{expected['start']['rpm']:,} /min" in text
    assert "Invented data" in text
