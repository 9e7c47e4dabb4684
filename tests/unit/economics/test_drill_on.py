"""Stop now or drill on: what more holes cost, and what knowing more is worth."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trials.economics import DrillOn, drill_on
from trials.errors import InputError
from trials.model import Economics

MONEY = Economics(1.0, tool_change_min=2, drill_price=98, inspect_min=3, coolant_per_min=0.5)


def ask(**changes: float | None) -> DrillOn:
    values: dict[str, float | None] = {
        "life_low": 400, "life_high": 1600, "width_then": 1.5, "holes_expected": 200,
        "looks_expected": 2, "rival": 0.35, "holes_to_make": 10_000,
    }  # fmt: skip
    return drill_on(MONEY, 0.2, **(values | changes))  # type: ignore[arg-type]  # numbers


def test_the_price_by_hand() -> None:
    # 200 holes of 0.2 min at 1 + 0.5 a minute, and two looks of 3 min: 60 + 6.
    found = drill_on(MONEY, 0.2, life_low=400, life_high=1600, width_then=1.5, holes_expected=200,
                     looks_expected=2, rival=None, holes_to_make=None)  # fmt: skip
    assert found.price == pytest.approx(66)
    # A hole costs 0.3 and a share of 100: over 1600 and 400 holes.
    assert (found.low, found.high) == (pytest.approx(0.3625), pytest.approx(0.55))
    # About the middle of 800 holes, 1.5 wide: 800·√1.5 and 800/√1.5.
    assert found.then_low == pytest.approx(0.3 + 100 / (800 * math.sqrt(1.5)))
    assert found.then_high == pytest.approx(0.3 + 100 * math.sqrt(1.5) / 800)
    assert found.worth is None
    assert found.pays is None


def test_worth_is_what_a_better_choice_saves_by_simulation() -> None:
    # Two stages drawn outright: what will be known of log life, then life about it; production
    # takes the cheaper one by what it knows.
    found = drill_on(MONEY, 0.2, life_low=400, life_high=1600, width_then=1.5, holes_expected=200,
                     looks_expected=2, rival=0.43, holes_to_make=1000)  # fmt: skip
    rng = np.random.default_rng(5)
    now, then = (math.log(width) / 2 / 1.6449 for width in (4.0, 1.5))
    seen = math.log(800) + math.sqrt(now**2 - then**2) * rng.standard_normal(400_000)
    cost = 0.3 + 100 * np.exp(-(seen + then * rng.standard_normal(400_000)))
    known = 0.3 + 100 * np.exp(-seen + then**2 / 2)
    chosen = np.where(known < 0.43, cost, 0.43)
    saved = min(float(cost.mean()), 0.43) - float(chosen.mean())
    assert found.worth == pytest.approx(1000 * saved, rel=0.03)


def test_knowing_is_worth_most_where_the_choice_is_open() -> None:
    def worth(**changes: float | None) -> float:
        found = ask(**changes)
        assert found.worth is not None
        return found.worth

    # The middle cost is 0.425; a rival far away on either side leaves nothing to choose.
    assert worth(rival=0.425) > worth(rival=0.36) > worth(rival=0.31)
    assert worth(rival=0.425) > worth(rival=0.6)
    assert worth(rival=0.2) == pytest.approx(0.0, abs=1e-9)
    # More that is learnt is worth more, nothing learnt nothing; so are more holes to make.
    assert worth(width_then=1.1) > worth(width_then=2) > worth(width_then=4)
    assert worth(width_then=4) == 0
    assert worth(holes_to_make=20_000) == pytest.approx(2 * worth())
    assert worth(holes_to_make=None) == pytest.approx(worth(holes_to_make=10_000))


def test_a_range_without_an_end_has_no_worth() -> None:
    found = ask(life_high=None)
    assert found.worth is None
    assert found.price == pytest.approx(66)


@pytest.mark.parametrize(
    "changes",
    [{"life_low": 0}, {"life_low": math.nan}, {"life_high": 300}, {"width_then": 0.9},
     {"width_then": math.nan}, {"holes_expected": -1}, {"looks_expected": math.inf},
     {"holes_to_make": -5}],
)  # fmt: skip
def test_impossible_numbers_are_refused(changes: dict[str, float]) -> None:
    with pytest.raises(InputError):
        ask(**changes)
