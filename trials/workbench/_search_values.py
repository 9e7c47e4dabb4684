"""What is asked of the search and told by it, as screens and other programs read it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trials.optimizer import Earlier, Estimate, Suggestion


@dataclass(frozen=True, slots=True)
class LikeTrial:
    """Runs of a like job that the search learns from.

    Args:
        trial: name of the trial; the asking one's own for another of its drills.
        drill: name of the drill there.
        runs: how many of its runs count.
        likeness: 1 for the same drill, material and hole, towards 0 for little in common.
        why: what is alike and what is not, in words.
        earlier: the same as the search takes it; prices are not in it.
    """

    trial: str
    drill: str
    runs: int
    likeness: float
    why: str
    earlier: Earlier = field(repr=False)


@dataclass(frozen=True, slots=True)
class LikeTrials:
    """Which like jobs the search learns from, and what they change.

    Args:
        used: those that count, the most alike first.
        left_out: those that would count, had a person not left them out.
        holes_with, holes_without: holes to wear expected of the suggested cutting data with them,
            and by this drill's own runs alone; None where nothing is suggested.
    """

    used: tuple[LikeTrial, ...]
    left_out: tuple[LikeTrial, ...] = ()
    holes_with: Estimate | None = None
    holes_without: Estimate | None = None


@dataclass(frozen=True, slots=True)
class DrillTest:
    """What the next test of one drill of a trial would be.

    Args:
        drill: its name.
        runs: its ended runs that count.
        suggestion: with what; None where nothing is left to try, and then ``why_not`` says why.
        value: what the test is expected to save over the holes still to make, money; measured
            against the cheapest that any of the drills is expected to do now.
    """

    drill: str
    runs: int
    suggestion: Suggestion | None
    value: float = 0.0
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class NextTest:
    """Which drill to test next.

    Args:
        drill: name of that drill.
        tests: one for each drill; the chosen one first, then by what they save beyond their price.
        stop: whether no test is worth its price.
    """

    drill: str
    tests: tuple[DrillTest, ...]
    stop: bool

    @property
    def suggestion(self) -> Suggestion:
        """What to test next with that drill."""
        found = self.tests[0].suggestion
        assert found is not None  # noqa: S101 - the chosen drill has something to try
        return found
