"""Measures of a peer over its trials, and the table of all peers."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tests.benchmarks.optimizer.trial import holes_of_job

Trial = list[dict]
AFTER = (5, 10, 15, 20)


@dataclass(frozen=True)
class Row:
    """What one peer did, over some processes and seeds.

    ``above`` are medians of the cost above the optimum after 5, 10, 15 and 20 tests; ``to_10`` and
    ``to_5`` the median tests until the recommendation is and stays within 10 % and 5 %, infinite
    when half the trials never got there; ``breaks_expected`` what the process breaks by itself, and
    ``breaks_at_optimum`` what it would break if every test were drilled at the optimum.
    ``above_safe`` is as ``above``, against the lowest cost that keeps worn drills below the load
    limit as surely as was asked. ``until_stop`` are tests, broken drills and those expected by
    themselves until stop was advised.
    """

    peer: str
    trials: int
    tests: int
    above: tuple[float, ...]
    above_safe: tuple[float, ...]
    to_10: float
    to_5: float
    over_limit: int
    unsafe: int
    broken: int
    breaks_expected: float
    breaks_at_optimum: float
    money: float
    seconds: float
    life: float | None
    load: float | None
    cost: float | None
    stop: float | None
    stop_worst: float | None
    until_stop: tuple[int, int, float] | None = None


def row(peer: str, trials: dict[int, list[Trial]]) -> Row:
    """Measures over trials, which come by their seed (several processes have the same seeds)."""
    flat = [trial for group in trials.values() for trial in group]
    steps = [step for trial in flat for step in trial]
    stops = [
        extra
        for seed, group in trials.items()
        for trial in group
        if (extra := extra_money_of_stop(trial, holes_of_job(seed))) is not None
    ]
    return Row(
        peer=peer,
        trials=len(flat),
        tests=len(steps),
        above=_after("above", flat),
        above_safe=_after("above_safe", flat),
        to_10=_median(tests_to(trial, 0.10) for trial in flat),
        to_5=_median(tests_to(trial, 0.05) for trial in flat),
        over_limit=sum(step["over_limit"] for step in steps),
        unsafe=sum(step["unsafe"] for step in steps),
        broken=sum(step["broken"] for step in steps),
        breaks_expected=sum(step["base_break"] for step in steps),
        breaks_at_optimum=sum(step["optimum_break"] for step in steps),
        money=_median(sum(step["money"] for step in trial) for trial in flat),
        seconds=_median(trial[-1]["seconds"] for trial in flat),
        life=_mean(step["life"] for step in steps),
        load=_mean(step["load"] for step in steps),
        cost=_mean(step["cost_range"] for step in steps),
        stop=_median(stops) if stops else None,
        stop_worst=sorted(stops)[int(0.9 * len(stops))] if stops else None,
        until_stop=_until_stop(flat) if stops else None,
    )


def _after(what: str, trials: Sequence[Trial]) -> tuple[float, ...]:
    return tuple(_median(t[k - 1][what] for t in trials if len(t) >= k) for k in AFTER)


def _until_stop(trials: Iterable[Trial]) -> tuple[int, int, float]:
    asked = [step for trial in trials for step in trial[: _stop_advised(trial)]]
    return (
        len(asked),
        sum(step["broken"] for step in asked),
        sum(step["base_break"] for step in asked),
    )


def _stop_advised(trial: Trial) -> int:
    """Tests after which stop was advised; all of them when it never was."""
    return next((k for k, step in enumerate(trial) if k and step["stop"]), len(trial))


def tests_to(trial: Trial, share: float) -> float:
    """Tests until the recommendation is within ``share`` of the optimum for good, and is safe."""
    good = [step["above"] <= share and not step["unsafe"] for step in trial]
    if not good[-1]:
        return math.inf
    bad = [number for number, within in enumerate(good, start=1) if not within]
    return (bad[-1] if bad else 0) + 1


def extra_money_of_stop(trial: Trial, holes: int) -> float | None:
    """Money of the whole job when stopped as advised, over that of the best stop in hindsight.

    None when nothing was said of stopping. The job costs all tests up to the stop and then its
    holes as recommended then. There is no recommendation before the first test.
    """
    if trial[0]["stop"] is None:
        return None
    spent, totals = 0.0, []
    for step in trial:
        spent += step["money"]
        totals.append(spent + holes * step["cost"])
    return totals[_stop_advised(trial) - 1] / min(totals) - 1.0


def markdown(rows: Iterable[Row], also: Iterable[str] = ()) -> str:
    """The table as it stands in the documents, with ``also`` rows that were written before."""
    lines = [
        "| | trials | "
        + " | ".join(f"after {k}" for k in AFTER)
        + " | tests to 10 % | to 5 % | over limit "
        "| unsafe | broken (by itself, at the optimum) | money | s | stop |",
        "| --- " * 14 + "|",
    ]
    for one in rows:
        cells = [one.peer, str(one.trials), *map(_pct, one.above), _count(one.to_10),
                 _count(one.to_5), f"{one.over_limit} of {one.tests}", str(one.unsafe),
                 f"{one.broken} ({one.breaks_expected:.0f}, {one.breaks_at_optimum:.0f})",
                 f"{one.money:.0f}", f"{one.seconds:.2f}", _stop(one)]  # fmt: skip
        lines.append("| " + " | ".join(cells) + " |")
    lines += also
    return "\n".join(lines) + "\n"


def coverage(one: Row) -> str:
    """A line on the 90 % ranges and on drills that broke before stop was advised."""
    if one.life is None or one.load is None or one.cost is None:
        return f"{one.peer}: said no ranges\n"
    text = (
        f"{one.peer}: 90 % ranges of the next edge held {_pct(one.life)} of lives, "
        f"{_pct(one.load)} of worn loads and {_pct(one.cost)} of costs. Against the cheapest that "
        f"is as surely below the load limit as asked: {', '.join(map(_pct, one.above_safe))}."
    )
    if one.until_stop is not None:
        tests, broken, expected = one.until_stop
        text += (
            f" Until it advised to stop, {broken} drills broke in {tests} tests "
            f"({expected:.0f} by themselves)."
        )
    return text + "\n"


def _pct(share: float) -> str:
    return "–" if math.isnan(share) else f"{100 * share:.1f} %"


def _stop(one: Row) -> str:
    if one.stop is None or one.stop_worst is None:
        return "–"
    return f"{_pct(one.stop)} ({_pct(one.stop_worst)})"


def _count(value: float) -> str:
    return "> 20" if math.isinf(value) else f"{value:.0f}"


def _median(values: Iterable[float]) -> float:
    found: Sequence[float] = list(values)
    return float(statistics.median_low(found)) if found else math.nan


def _mean(values: Iterable[float | None]) -> float | None:
    found = [value for value in values if value is not None]
    return statistics.fmean(found) if found else None
