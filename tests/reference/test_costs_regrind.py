"""When a drill is reground: the trade's rule, and regrinds costed by hand.

Common practice, no source: regrind when wear or chipping reaches 0.5 mm (about 0.020 in) and holes
are still in tolerance; even wear can be reground, a chipped margin cannot.
"""

from __future__ import annotations

import pytest

from trials.economics import best_regrinds, edges_of_a_drill, money_of_an_edge, regrind_advice
from trials.model import Economics, WearReading

MONEY = Economics(1.0, tool_change_min=2.0, drill_price=60.0, regrinds=3, regrind_cost=15.0)


def test_even_wear_up_to_half_a_millimetre_is_reground() -> None:
    for wear in (0.30, 0.50):
        found = regrind_advice(MONEY, WearReading(90, vb_maximum_mm=wear), end="worn")
        assert (found.action, found.allowed, found.regrinds_left) == ("regrind", True, 3)
    beyond = regrind_advice(MONEY, WearReading(90, vb_maximum_mm=0.51), end="worn")
    assert (beyond.action, beyond.allowed) == ("retire", False)


def test_a_chipped_margin_is_not_reground_however_small() -> None:
    found = regrind_advice(MONEY, WearReading(90, margin_chipping_mm=0.05), end="chipped")
    assert (found.action, found.allowed) == ("retire", False)
    assert "3 regrinds are lost" in found.money


def test_a_chipped_corner_is_wear_like_any_other() -> None:
    found = regrind_advice(MONEY, WearReading(90, corner_chipping_mm=0.3), end="chipped")
    assert found.action == "regrind"


def test_edges_of_a_drill_by_hand() -> None:
    # Half of the edges are beyond regrinding, each regrind takes a fifth of the life, two regrinds:
    # edges 1 + 1/2 + 1/4; lives 1 + 0.4 + 0.16; regrinds 1/2 + 1/4.
    money = Economics(1.0, tool_change_min=2.0, drill_price=60.0, regrinds=2, regrind_cost=15.0,
                      life_lost_per_regrind=0.2)  # fmt: skip
    of_drill = edges_of_a_drill(money, 0.5)
    assert of_drill.edges == pytest.approx(1.75)
    assert of_drill.lives == pytest.approx(1.56)
    assert of_drill.regrinds == pytest.approx(0.75)
    edge = money_of_an_edge(money, beyond_regrind_share=0.5)
    assert edge.drill == pytest.approx((60 + 0.75 * 15) / 1.56)
    assert edge.change == pytest.approx(2.0 * 1.75 / 1.56)


def test_regrinding_stops_where_a_new_drill_is_cheaper() -> None:
    # Half of the life lost each time, change 2: k = 0: 62/1; 1: 79/1.5 = 52.67; 2: 96/1.75 =
    # 54.86; so one regrind costs least, and after it a new drill does.
    money = Economics(1.0, tool_change_min=2.0, drill_price=60.0, regrinds=3, regrind_cost=15.0,
                      life_lost_per_regrind=0.5)  # fmt: skip
    assert best_regrinds(money) == 1
    even = WearReading(90, vb_maximum_mm=0.3)
    assert regrind_advice(money, even, end="worn", holes_per_edge=100).action == "regrind"
    second = regrind_advice(money, even, end="worn", regrinds_done=1, holes_per_edge=100)
    assert (second.action, second.allowed, second.pays) == ("retire", True, False)
    # The next edge: 17 over a quarter of 100 holes; new: 79 over 150 holes.
    assert second.next_edge == pytest.approx(0.68)
    assert second.new_drill == pytest.approx(79 / 150)


def test_an_edge_stopped_below_the_limit_goes_on() -> None:
    reading = WearReading(90, vb_maximum_mm=0.2)
    early = regrind_advice(MONEY, reading, end="stopped", wear_limit_mm=0.3)
    assert early.action == "not due"
    assert regrind_advice(MONEY, reading, end="worn", wear_limit_mm=0.3).action == "regrind"
