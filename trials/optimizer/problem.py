"""What is asked of the search, and what one run answered. Both are refused when they cannot be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trials.errors import InputError, require
from trials.model import (
    ENDS,
    PECK_MODES,
    CuttingData,
    Economics,
    End,
    IsoGroup,
    Machine,
    PeckMode,
    Substrate,
    WearLimits,
    WearReading,
)


@dataclass(frozen=True, slots=True)
class Problem:
    """One drill in one hole on one machine: where the search may go and what counts.

    Args:
        speed_m_per_min, feed_mm_per_rev, peck_depth_xd: lowest and highest value, never left.
        peck_modes: modes that may be tried.
        start: cutting data of the first run, within the bounds.
        load_limit_pct: peak spindle load that a worn drill must not pass, % of rating.
        diameter_mm, depth_mm: of the hole.
        economics: money and times.
        max_test_holes: longest test that work and time at hand allow, holes.
        machine: its limits are never passed, and its rating turns torque into load; None leaves
            the level of the load to the runs.
        holes_to_make: holes still to make; None for a job that keeps coming back.
        test_cost: price of one test in the currency of the economics; None computes it from the
            holes, the drill and the machine time of the test.
        group: ISO 513 group of the work, for the catalogue's specific cutting force; None takes a
            middle value with a wide margin.
        kc1_1_n_per_mm2, mc: specific cutting force and exponent where they are known.
        point_angle_deg: of the drill.
        through: whether the hole goes through.
        substrate: of the drill, for the thrust of its point; None takes a standard chisel edge.
        maker_speed_m_per_min, maker_feed_mm_per_rev: range that the maker of the drill gives for
            this work; they shift what is expected, and limit nothing.
        wear_limit_mm: wear at which an edge is worn; with it, wear readings of stopped runs count.
        wear_limits: instead of it, filled in for every kind of wear.
        p_safe: probability with which a worn drill must stay below the load limit, for anything
            that is suggested or recommended.
        kd: work material factor for the thrust; None takes the catalogue's of the group.

    Raises:
        InputError: a value is not possible, or the start lies outside the bounds.
    """

    speed_m_per_min: tuple[float, float]
    feed_mm_per_rev: tuple[float, float]
    peck_depth_xd: tuple[float, float]
    peck_modes: tuple[PeckMode, ...]
    start: CuttingData
    load_limit_pct: float
    diameter_mm: float
    depth_mm: float
    economics: Economics
    max_test_holes: int
    machine: Machine | None = None
    holes_to_make: int | None = None
    test_cost: float | None = None
    group: IsoGroup | None = None
    kc1_1_n_per_mm2: float | None = None
    mc: float | None = None
    point_angle_deg: float = 140.0
    through: bool = False
    substrate: Substrate | None = None
    maker_speed_m_per_min: tuple[float, float] | None = None
    maker_feed_mm_per_rev: tuple[float, float] | None = None
    wear_limit_mm: float | None = None
    wear_limits: WearLimits | None = None
    p_safe: float = 0.95
    kd: float | None = None

    def __post_init__(self) -> None:
        for what, (low, high), unit in (
            ("bounds of speed", self.speed_m_per_min, "m/min"),
            ("bounds of feed", self.feed_mm_per_rev, "mm/rev"),
            ("bounds of peck depth", self.peck_depth_xd, "drill diameters"),
            ("maker's range of speed", self.maker_speed_m_per_min or (1, 1), "m/min"),
            ("maker's range of feed", self.maker_feed_mm_per_rev or (1, 1), "mm/rev"),
        ):
            require(0 < low <= high < 1e6, what, f"{low:g} to {high:g}",
                    f"two values in {unit}, more than 0, the lower one first")  # fmt: skip
        require(len(self.peck_modes) > 0 and set(self.peck_modes) <= set(PECK_MODES),
                "peck modes", ", ".join(self.peck_modes) or "none given",
                "one or more of " + ", ".join(PECK_MODES))  # fmt: skip
        require(0 < self.load_limit_pct <= 200, "load limit", self.load_limit_pct,
                "more than 0 and at most 200 % of the rating")  # fmt: skip
        require(0 < self.diameter_mm <= 200, "hole diameter", self.diameter_mm,
                "more than 0 and at most 200 mm")  # fmt: skip
        require(0 < self.depth_mm <= 5000, "hole depth", self.depth_mm,
                "more than 0 and at most 5000 mm")  # fmt: skip
        require(self.max_test_holes >= 1, "longest test", self.max_test_holes, "1 hole or more")
        require(self.holes_to_make is None or self.holes_to_make >= 0, "holes to make",
                self.holes_to_make, "0 or more, or left out")  # fmt: skip
        require(self.test_cost is None or 0 <= self.test_cost < 1e12, "cost of a test",
                self.test_cost, "0 or more, or left out")  # fmt: skip
        require(self.kc1_1_n_per_mm2 is None or self.kc1_1_n_per_mm2 > 0,
                "specific cutting force kc1.1", self.kc1_1_n_per_mm2,
                "more than 0 N/mm², or left out")  # fmt: skip
        require(self.mc is None or 0 <= self.mc < 1, "exponent mc", self.mc,
                "0 up to but not 1, or left out")  # fmt: skip
        require(self.wear_limit_mm is None or 0 < self.wear_limit_mm <= 5, "wear limit",
                self.wear_limit_mm, "more than 0 and at most 5 mm, or left out")  # fmt: skip
        require(0.5 <= self.p_safe < 1, "certainty of staying below the load limit", self.p_safe,
                "0.5 up to but not 1")  # fmt: skip
        require(self.kd is None or self.kd > 0, "work material factor Kd", self.kd,
                "more than 0, or left out")  # fmt: skip
        money = self.economics
        require(money.machine_rate_per_min + money.drill_price + money.regrind_cost > 0,
                "machine rate and price of the drill", "nothing costs anything",
                "a machine rate or a price above 0",
                "Without costs no cutting data are better than others.")  # fmt: skip
        problem = self.outside(self.start)
        if problem is not None:
            raise InputError("start of the search", got=problem, allowed="values within the bounds",
                             do="Widen the bounds or move the start.")  # fmt: skip

    def outside(self, data: CuttingData) -> str | None:
        """What of this cutting data lies outside the bounds; None when all of it is inside."""
        if data.peck_mode not in self.peck_modes:
            return f"peck mode {data.peck_mode}"
        checks = [
            ("speed", data.speed_m_per_min, self.speed_m_per_min, "m/min"),
            ("feed", data.feed_mm_per_rev, self.feed_mm_per_rev, "mm/rev"),
        ]
        if data.peck_mode != "none":
            checks.append(("peck depth", data.peck_depth_xd, self.peck_depth_xd, "drill diameters"))
        for what, value, (low, high), unit in checks:
            if not low * (1 - 1e-9) <= value <= high * (1 + 1e-9):
                return f"{what} {value:g} {unit} outside {low:g} to {high:g}"
        return None


@dataclass(frozen=True, slots=True)
class RunResult:
    """What one run showed.

    Args:
        cutting_data: what it was driven with.
        holes: holes drilled until its end.
        end: how it ended; ``stopped`` says that its life is only known to be longer.
        load_fresh_pct: peak load of the first holes, % of rating; None when it was not recorded.
        load_worn_pct: peak load of the last holes, % of rating; None when it was not recorded.
        cycle_min: machine time of one hole, min; None when it was not measured.
        wear: wear readings in the order of their hole numbers; they tell more of a run that was
            stopped, when the problem has a wear limit.

    Raises:
        InputError: a value is not possible.
    """

    cutting_data: CuttingData
    holes: int
    end: End
    load_fresh_pct: float | None = None
    load_worn_pct: float | None = None
    cycle_min: float | None = None
    wear: tuple[WearReading, ...] = ()

    def __post_init__(self) -> None:
        require(self.holes >= 0, "holes of the run", self.holes, "0 or more")
        require(self.end in ENDS, "end of run", self.end, "one of " + ", ".join(ENDS))
        for what, value in (
            ("peak load of the fresh drill", self.load_fresh_pct),
            ("peak load of the worn drill", self.load_worn_pct),
        ):
            require(value is None or 0 <= value <= 1000, what, value,
                    "0 to 1000 % of the rating, or left out")  # fmt: skip
        require(self.cycle_min is None or 0 < self.cycle_min < 1e6, "cycle time of one hole",
                self.cycle_min, "more than 0 min, or left out")  # fmt: skip


def in_canonical_order(runs: Sequence[RunResult]) -> list[RunResult]:
    """The same runs always in the same order, so that sums come out the same to the last digit."""
    return sorted(runs, key=repr)
