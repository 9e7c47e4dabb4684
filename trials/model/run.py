"""A run: one drill edge at one cutting data, from fresh to its end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import InputError, require
from trials.model.cutting_data import CuttingData

End = Literal["worn", "stopped", "chipped", "broken", "out_of_tolerance", "load_limit"]
ENDS: tuple[End, ...] = get_args(End)
END_MEANS: dict[End, str] = {
    "worn": "the wear limit was reached",
    "stopped": "stopped before its end; its life is known only to be longer (censored)",
    "chipped": "an edge or margin chipped",
    "broken": "the drill broke",
    "out_of_tolerance": "holes went out of tolerance",
    "load_limit": "the load limit was reached",
}
Origin = Literal["person", "suggestion", "proposal"]
RunState = Literal["planned", "recording", "drilled", "ended"]


@dataclass(frozen=True, slots=True)
class WearReading:
    """What was seen on the drill after so many holes; a value that was not taken stays None.

    All lengths in mm; ``hole_diameter_mm`` is the measured diameter of that hole.
    """

    hole: int
    vb_average_mm: float | None = None
    vb_maximum_mm: float | None = None
    corner_chipping_mm: float | None = None
    margin_chipping_mm: float | None = None
    hole_diameter_mm: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        require(self.hole >= 0, "hole number of a wear reading", self.hole, "0 or more")
        for what, value in (
            ("wear VB average", self.vb_average_mm),
            ("wear VB maximum", self.vb_maximum_mm),
            ("corner chipping", self.corner_chipping_mm),
            ("margin chipping", self.margin_chipping_mm),
        ):
            require(value is None or 0 <= value <= 10, what, value, "0 to 10 mm, or left out")
        require(self.hole_diameter_mm is None or 0 < self.hole_diameter_mm <= 250,
                "measured hole diameter", self.hole_diameter_mm,
                "more than 0 and at most 250 mm, or left out")  # fmt: skip
        if (
            self.vb_average_mm is not None
            and self.vb_maximum_mm is not None
            and self.vb_maximum_mm < self.vb_average_mm
        ):
            raise InputError(
                "wear VB maximum", got=f"{self.vb_maximum_mm:g} mm",
                allowed=f"at least the average, {self.vb_average_mm:g} mm",
                do="Are the two values swapped?",
            )  # fmt: skip

    @property
    def largest_mm(self) -> float | None:
        """The largest wear or chipping seen in this reading, mm; None when nothing was measured."""
        values = [
            value
            for value in (
                self.vb_average_mm, self.vb_maximum_mm, self.corner_chipping_mm,
                self.margin_chipping_mm,
            )
            if value is not None
        ]  # fmt: skip
        return max(values) if values else None


@dataclass(frozen=True, slots=True)
class Run:
    """One drill edge at one cutting data.

    Args:
        number: counted from 1 within the trial.
        drill: name of the drill in the trial.
        cutting_data: what it was driven with.
        state: ``planned`` → ``recording`` → ``drilled`` → ``ended``.
        end: how it ended; None until it has.
        holes: holes drilled so far.
        load_fresh_pct: peak load of the first holes, % of rating; None until holes were recorded.
        load_worn_pct: peak load of the last holes, % of rating.
        cycle_min: time of one hole, approach to retract, min.
        wear: wear readings in the order of their hole numbers.
        origin: who proposed the cutting data: ``person``, ``suggestion`` (this program) or
            ``proposal`` (somebody else, in a package).
        note: what a person wrote about it.
        batch: workpiece batch or heat, as the shop writes it; empty when not noted. Runs of one
            batch are compared with each other first.
        machine: where it was drilled; empty for the trial's machine.
        regrinds_done: how many times this edge had been reground before the run; 0 is a new drill.
        test_holes: holes after which the test may stop although the drill still cuts; None where
            nobody said.
    """

    number: int
    drill: str
    cutting_data: CuttingData
    state: RunState = "planned"
    end: End | None = None
    holes: int = 0
    load_fresh_pct: float | None = None
    load_worn_pct: float | None = None
    cycle_min: float | None = None
    wear: tuple[WearReading, ...] = ()
    origin: Origin = "person"
    note: str = ""
    batch: str = ""
    machine: str = ""
    regrinds_done: int = 0
    test_holes: int | None = None

    def __post_init__(self) -> None:
        require(self.number >= 1, "number of the run", self.number, "1 or more")
        require(self.state in get_args(RunState), "state of the run", self.state,
                "one of " + ", ".join(get_args(RunState)))  # fmt: skip
        require(self.end is None or self.end in ENDS, "end of run", self.end,
                "one of " + ", ".join(ENDS))  # fmt: skip
        require((self.end is None) == (self.state != "ended"), "end of run", self.end,
                "an end exactly when the run is ended")  # fmt: skip
        require(self.origin in get_args(Origin), "origin of the run", self.origin,
                "one of " + ", ".join(get_args(Origin)))  # fmt: skip
        require(self.holes >= 0, "holes drilled", self.holes, "0 or more")
        require(0 <= self.regrinds_done <= 100, "regrinds done", self.regrinds_done, "0 to 100")
        require(self.test_holes is None or self.test_holes >= 1, "holes of the test",
                self.test_holes, "1 or more, or left out")  # fmt: skip
        for what, text in (("batch of the run", self.batch), ("machine of the run", self.machine)):
            require(len(text) <= 100, what, text, "at most 100 characters")
        hole_numbers = [reading.hole for reading in self.wear]
        require(hole_numbers == sorted(hole_numbers), "wear readings", hole_numbers,
                "in the order of their hole numbers")  # fmt: skip

    def next_look(self, every_holes: int) -> int | None:
        """The hole after which a look at the drill is due; None when looks are not planned.

        Counted from the last wear reading, or from the fresh edge. Source: common practice, no
        source.

        Args:
            every_holes: holes between looks; 0 for none.
        """
        if every_holes <= 0:
            return None
        return (self.wear[-1].hole if self.wear else 0) + every_holes
