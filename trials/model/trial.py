"""A trial: a question about one hole feature, and the limits within which it is answered."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from trials.errors import NotFoundError, require
from trials.model.cutting_data import PECK_MODES, CuttingData, PeckMode
from trials.model.drill import Drill
from trials.model.economics import Economics
from trials.model.machine import Machine
from trials.model.wear_limits import WearLimits
from trials.model.work import HoleFeature, Work


@dataclass(frozen=True, slots=True)
class Bounds:
    """Where the search may go: lowest and highest value of each part of the cutting data."""

    speed_m_per_min: tuple[float, float]
    feed_mm_per_rev: tuple[float, float]
    peck_depth_xd: tuple[float, float] = (0.5, 3.0)
    peck_modes: tuple[PeckMode, ...] = ("none",)

    def __post_init__(self) -> None:
        for what, (low, high), unit in (
            ("bounds of speed", self.speed_m_per_min, "m/min"),
            ("bounds of feed", self.feed_mm_per_rev, "mm/rev"),
            ("bounds of peck depth", self.peck_depth_xd, "drill diameters"),
        ):
            require(0 < low <= high, what, f"{low:g} to {high:g}",
                    f"two values in {unit}, more than 0, the lower one first")  # fmt: skip
        require(len(self.peck_modes) > 0 and set(self.peck_modes) <= set(PECK_MODES),
                "peck modes", ", ".join(self.peck_modes) or "none given",
                "one or more of " + ", ".join(PECK_MODES))  # fmt: skip
        require(len(set(self.peck_modes)) == len(self.peck_modes), "peck modes",
                ", ".join(self.peck_modes), "each mode once")  # fmt: skip


@dataclass(frozen=True, slots=True)
class DrillStart:
    """First cutting data and bounds of one drill, where they differ from the trial's."""

    drill: str
    start: CuttingData
    bounds: Bounds


@dataclass(frozen=True, slots=True)
class Overrule:
    """A person says that a rule of the choice does not hold for a drill here, and why."""

    drill: str
    rule: str
    why: str
    by: str = ""

    def __post_init__(self) -> None:
        require(bool(self.why.strip()) and len(self.why) <= 500, "reason for overruling a rule",
                self.why, "1 to 500 characters, so that the record says why")  # fmt: skip
        require(len(self.by) <= 100, "who overrules", self.by, "at most 100 characters")


@dataclass(frozen=True, slots=True)
class Trial:
    """What is asked, on which machine, of which hole, with which drills, within which limits.

    Args:
        name: short and unique in the shop's data folder.
        machine, work, hole, economics: see their own descriptions. ``economics`` holds what all
            drills share; price and regrinds come from the drill of the run.
        drills: candidates; the first is the one that runs take unless told otherwise.
        bounds: where the search may go.
        start: cutting data of the first run.
        load_limit_pct: peak spindle load that a worn drill must not pass, % of rating.
        wear_limit_mm: wear at which a drill is worn, mm.
        max_test_holes: longest test that work and time at hand allow, holes.
        holes_to_make: size of the run of parts in holes; None for a job that keeps coming back.
        invented: true for demonstration data that no real machine made.
        wear_limits: limits of single kinds of wear, where ``wear_limit_mm`` does not hold for them,
            and what is reground.
        drill_starts: first cutting data and bounds of drills for which ``start`` and ``bounds``
            do not hold.
        overruled: rules of the choice that a person has overruled.
        p_safe: probability with which a worn drill must stay below the load limit, for anything
            that is suggested.
        alone: the search leaves earlier trials of like jobs out.
    """

    name: str
    machine: Machine
    work: Work
    hole: HoleFeature
    drills: tuple[Drill, ...]
    economics: Economics
    bounds: Bounds
    start: CuttingData
    load_limit_pct: float = 80.0
    wear_limit_mm: float = 0.3
    max_test_holes: int = 500
    holes_to_make: int | None = None
    invented: bool = False
    note: str = ""
    wear_limits: WearLimits = field(default_factory=WearLimits)
    drill_starts: tuple[DrillStart, ...] = ()
    overruled: tuple[Overrule, ...] = ()
    p_safe: float = 0.95
    alone: bool = False

    def __post_init__(self) -> None:
        require(bool(self.name.strip()) and len(self.name) <= 100, "name of the trial", self.name,
                "1 to 100 characters")  # fmt: skip
        require(len(self.drills) >= 1, "drills of the trial", "none", "one or more drills")
        names = [drill.name for drill in self.drills]
        require(len(set(names)) == len(names), "drills of the trial", ", ".join(names),
                "a different name for each")  # fmt: skip
        require(5 <= self.load_limit_pct <= 200, "load limit", self.load_limit_pct,
                "5 to 200 % of the rating")  # fmt: skip
        require(0 < self.wear_limit_mm <= 5, "wear limit", self.wear_limit_mm,
                "more than 0 and at most 5 mm")  # fmt: skip
        require(self.max_test_holes >= 1, "longest test", self.max_test_holes, "1 hole or more")
        require(0.5 <= self.p_safe < 1, "certainty of staying below the load limit", self.p_safe,
                "0.5 up to but not 1, such as 0.95")  # fmt: skip
        require(self.holes_to_make is None or self.holes_to_make >= 1, "holes to make",
                self.holes_to_make, "1 or more, or left out")  # fmt: skip
        for drill in self.drills:
            require(abs(drill.diameter_mm - self.hole.diameter_mm) <= 0.1 * self.hole.diameter_mm,
                    f"diameter of the drill {drill.name}", drill.diameter_mm,
                    f"within a tenth of the hole's {self.hole.diameter_mm:g} mm")  # fmt: skip
        for what, named in (
            ("drill with a start of its own", [one.drill for one in self.drill_starts]),
            ("drill of an overruled rule", [one.drill for one in self.overruled]),
        ):
            for name in named:
                require(name in names, what, name, "one of " + ", ".join(names))
        for drill in self.drills:
            forbidden = drill.forbidden(self.start_of(drill.name)[0])
            require(not forbidden, "first cutting data", "; ".join(forbidden),
                    "what the maker allows")  # fmt: skip
        own = [one.drill for one in self.drill_starts]
        require(len(set(own)) == len(own), "starts of drills", ", ".join(own), "one for each drill")

    def drill(self, name: str | None = None) -> Drill:
        """The drill of that name, or the trial's first one.

        Raises:
            NotFoundError: the trial has no drill of that name.
        """
        if name is None:
            return self.drills[0]
        for drill in self.drills:
            if drill.name == name:
                return drill
        raise NotFoundError(
            "drill", got=name, allowed="one of " + ", ".join(drill.name for drill in self.drills)
        )

    def start_of(self, drill_name: str | None = None) -> tuple[CuttingData, Bounds]:
        """First cutting data of a drill, and where its search may go."""
        name = self.drill(drill_name).name
        for own in self.drill_starts:
            if own.drill == name:
                return own.start, own.bounds
        return self.start, self.bounds

    @property
    def limits(self) -> WearLimits:
        """The wear limit of every kind of wear."""
        return self.wear_limits.filled(self.wear_limit_mm)

    def economics_of(self, drill_name: str | None = None) -> Economics:
        """The trial's economics with price and regrinds of one drill."""
        drill = self.drill(drill_name)
        return replace(
            self.economics,
            drill_price=drill.price,
            regrinds=drill.regrinds,
            regrind_cost=drill.regrind_cost,
            life_lost_per_regrind=drill.life_lost_per_regrind,
        )
