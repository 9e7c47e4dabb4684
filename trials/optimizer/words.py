"""The reason of an answer in one plain sentence that a machinist follows."""

from __future__ import annotations

from trials.model import CuttingData
from trials.optimizer.problem import Problem
from trials.optimizer.suggestion import Suggestion


def first(problem: Problem, answer: Suggestion, limit_pct: float, *, lowered: bool) -> str:
    """For the start, before any run."""
    begin = "No run yet, so begin with the start"
    if lowered:
        begin = (
            f"No run yet; the start of {driven(problem.start)} is too much for the machine or for "
            f"the {limit_pct:.0f} % load limit, so begin with {driven(answer.cutting_data)}"
        )
    low, _, high = answer.holes
    return (
        f"{begin}: what is expected is only a rule of thumb until a run is in ({low:.0f} to "
        f"{high:.0f} holes, worn peak load {answer.load_worn_pct.low:.0f} to "
        f"{answer.load_worn_pct.high:.0f} %), so watch the load from the first hole."
    )


def first_in_unknown_work(problem: Problem, answer: Suggestion, limit_pct: float) -> str:
    """For the gentlest, where nothing is known of the work and what is usual would be too much."""
    usual = (
        "steel"
        if problem.machine is not None
        else "what is usual on a machine of which nothing is said"
    )
    return (
        f"No run yet, and nothing is said of the work: {usual} would ask for more than the "
        f"{limit_pct:.0f} % load limit at all cutting data within the bounds. Say its group or its "
        f"specific force; if it is surely softer, begin with the gentlest, "
        f"{driven(answer.cutting_data)}, and stop in the first hole if the load nears the limit."
    )


def next_test(answer: Suggestion, best: Suggestion | None, limit_pct: float, currency: str) -> str:
    """For the next test, against the best that has been tried and may be driven on."""
    cost = answer.cost_per_hole.median
    expected = (
        f"about {answer.holes.median:.0f} holes to wear, {cost:.3f} {currency} a hole, worn peak "
        f"load near {answer.load_worn_pct.median:.0f} % of the {limit_pct:.0f} % allowed"
    )
    if best is None:
        text = f"Nothing tried so far is safe to go on with; this should give {expected}"
    elif best.cutting_data == answer.cutting_data:
        text = f"The same as the best so far, to see how far edges differ: {expected}"
    else:
        step, so_far = changed(best.cutting_data, answer.cutting_data), best.cost_per_hole.median
        text = (
            f"{step} than the best so far should be cheaper: {expected}, against {so_far:.3f} "
            f"{currency} to be expected of the best"
            if cost < so_far
            else f"{step} than the best so far, where little is known yet and a cheaper hole is "
            f"still possible: {expected}"
        )
    if answer.stop:
        text += (
            f"; but the test costs {answer.test_cost:.0f} {currency} and is expected to save only "
            f"{answer.value:.0f}, so stop testing"
        )
    return f"{text}."


def produce(answer: Suggestion, runs: int, limit_pct: float, currency: str) -> str:
    """For production now."""
    low, _, high = answer.cost_per_hole
    return (
        f"After {runs} run{'s' if runs != 1 else ''} this is the cheapest that stays safe: about "
        f"{answer.holes.median:.0f} holes to wear, {answer.cost_per_hole.median:.3f} {currency} a "
        f"hole ({low:.3f} to {high:.3f}), worn peak load near {answer.load_worn_pct.median:.0f} % "
        f"of the {limit_pct:.0f} % allowed."
    )


def nothing_safe(answer: Suggestion, limit_pct: float, probability: float) -> str:
    """When no cutting data within the bounds is safe enough."""
    return (
        f"Stop: nothing within the bounds and one step of what was tried keeps a worn drill below "
        f"{limit_pct:.0f} % load with {percent(probability)} certainty; "
        f"{driven(answer.cutting_data)} is the gentlest, with {percent(answer.p_safe)}."
    )


def driven(data: CuttingData) -> str:
    """Cutting data as they are said."""
    text = f"{data.speed_m_per_min:g} m/min and {data.feed_mm_per_rev:g} mm/rev"
    if data.peck_mode != "none":
        text += f", {data.peck_mode.replace('_', ' ')} pecks of {data.peck_depth_xd:g} × D"
    return text


def changed(before: CuttingData, after: CuttingData) -> str:
    """What is different: ``12 % faster and 5 % less feed``."""
    parts = []
    speed = after.speed_m_per_min / before.speed_m_per_min - 1.0
    feed = after.feed_mm_per_rev / before.feed_mm_per_rev - 1.0
    if abs(speed) >= 0.005:
        parts.append(f"{percent(abs(speed))} {'faster' if speed > 0 else 'slower'}")
    if abs(feed) >= 0.005:
        parts.append(f"{percent(abs(feed))} {'more' if feed > 0 else 'less'} feed")
    if after.peck_mode != before.peck_mode:
        parts.append(
            "without pecks" if after.peck_mode == "none"
            else f"with {after.peck_mode.replace('_', ' ')} pecks of {after.peck_depth_xd:g} × D"
        )  # fmt: skip
    elif after.peck_mode != "none" and abs(after.peck_depth_xd / before.peck_depth_xd - 1) >= 0.005:
        deeper = after.peck_depth_xd > before.peck_depth_xd
        parts.append(f"with {'deeper' if deeper else 'shorter'} pecks")
    text = " and ".join(parts) or "a hair different"
    return text[0].upper() + text[1:]


def percent(share: float) -> str:
    """A share as whole percent."""
    return f"{100 * share:.0f} %"
