"""The setting card against a published drilling problem."""

from __future__ import annotations

import pytest

from trials.figures import setting_card
from trials.model import CuttingData, HoleFeature


def test_speed_and_feed_rate_of_a_textbook_hole() -> None:
    # Groover, Fundamentals of Modern Manufacturing, drilling problem: D 12.7 mm, 25 m/min,
    # 0.30 mm/rev gives 626.6 1/min and 187.98 mm/min.
    card = setting_card(CuttingData(25.0, 0.30), HoleFeature(12.7, 60.0))
    assert card.rpm == pytest.approx(626.6, abs=0.05)
    assert card.feed_rate_mm_per_min == pytest.approx(187.98, abs=0.01)
    assert card.peck_depth_mm is None
    assert card.breakthrough_feed_rate_mm_per_min is None


def test_pecks_are_given_as_a_length() -> None:
    card = setting_card(CuttingData(80.0, 0.2, "chip_break", 1.5), HoleFeature(8.0, 40.0))
    assert card.peck_depth_mm == pytest.approx(12.0)


@pytest.mark.parametrize("through", [True, False])
def test_feed_is_reduced_only_where_the_drill_breaks_through(through: bool) -> None:
    data = CuttingData(80.0, 0.2, breakthrough_feed_factor=0.5, breakthrough_mm=2.0)
    card = setting_card(data, HoleFeature(8.0, 40.0, through=through))
    expected = card.feed_rate_mm_per_min / 2 if through else None
    assert card.breakthrough_feed_rate_mm_per_min == expected
