"""How often the 90 % ranges of trials.life hold the truth, by simulation.

Run it: ``python tests/benchmarks/coverage.py`` (about ten minutes on one core; it shows progress),
or with ``--trials 60`` for a quick look. Prints the tables of docs/life.md. The simulated lives,
readings and edges are made here from numpy's generators, with nothing of the program inside.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator

import numpy as np

from trials.life import (
    Life,
    LifeModel,
    ToolLifePoint,
    WearPoint,
    ended_at,
    ended_between,
    fit_lives,
    fit_tool_life,
    project,
    stopped_at,
)

Tally = dict[tuple[str, ...], list[int]]  # [inside, below the range, above it, asked]
SCHEMES = ("all ended", "r-th end", "same hole", "own holes", "between looks")


def standard(model: LifeModel, generator: np.random.Generator, count: int) -> np.ndarray:
    """Log lives with µ 0 and σ 1."""
    if model == "weibull":
        return np.log(generator.exponential(size=count))
    return generator.standard_normal(count)


def one_trial(
    model: LifeModel, scheme: str, generator: np.random.Generator
) -> tuple[list[Life], float, float]:
    """3 to 12 lives with up to 60 % stopped, their true σ and scale."""
    while True:
        count = int(generator.integers(3, 13))
        share = float(generator.uniform(0.0, 0.6))
        scale = float(generator.uniform(80, 3000))
        sigma = float(generator.uniform(0.15, 0.8))
        times = scale * np.exp(sigma * standard(model, generator, count))
        if scheme == "all ended":
            lives = [ended_at(t) for t in times]
        elif scheme == "r-th end":
            ended = max(3, count - int(share * count))
            stop = np.sort(times)[ended - 1]
            lives = [ended_at(t) if t <= stop else stopped_at(stop) for t in times]
        elif scheme == "same hole":
            many = np.exp(sigma * standard(model, generator, 4000))
            stop = scale * float(np.quantile(many, 1.0 - share))
            lives = [ended_at(t) if t <= stop else stopped_at(stop) for t in times]
        elif scheme == "own holes":
            # Each edge has its own last hole; the shares of lives stopped come out about right.
            stops = scale * np.exp(sigma * standard(model, generator, count)) * (1.3 / share - 1.0)
            lives = [
                ended_at(t) if t <= s else stopped_at(s) for t, s in zip(times, stops, strict=True)
            ]
        else:
            every = scale / float(generator.uniform(5, 15))
            lives = [
                ended_between(every * math.floor(t / every), every * (math.floor(t / every) + 1))
                for t in times
            ]
        stopped = sum(not life.ended for life in lives)
        if stopped <= 0.6 * count:
            return lives, sigma, scale


def note(tally: Tally, keys: tuple[str, ...], low: float, truth: float, high: float) -> None:
    place = 1 if truth < low else 2 if truth > high else 0
    tally[keys][place] += 1
    tally[keys][3] += 1


def study_lives(
    trials: int, seed: int, shown: Callable[[str, int], None], *, plain: bool = True
) -> Tally:
    """Ranges of shape, scale and B10, and the plain likelihood ranges beside them."""
    tally: Tally = defaultdict(lambda: [0, 0, 0, 0])
    models: tuple[LifeModel, ...] = ("weibull", "lognormal")
    for number in range(trials):
        shown("lives", number)
        model, scheme = models[number % 2], SCHEMES[number // 2 % len(SCHEMES)]
        generator = np.random.default_rng([seed, number])
        lives, sigma, scale = one_trial(model, scheme, generator)
        fit = fit_lives(lives, model)
        if not fit.ok:
            tally[("verdict", fit.verdict.split(":")[0])][3] += 1
            continue
        shape = 1.0 / sigma if model == "weibull" else sigma
        z10 = math.log(-math.log(0.9)) if model == "weibull" else -1.2815515655446004
        truths = {"shape": shape, "scale": scale, "b10": scale * math.exp(sigma * z10)}
        few = {3: "3 ended", 4: "4 or 5 ended", 5: "4 or 5 ended"}.get(
            fit.failures, "6 to 12 ended"
        )
        for name, truth in truths.items():
            low, high = fit.intervals[name]
            note(tally, ("all", name), low, truth, high)
            note(tally, (few, name), low, truth, high)
            note(tally, (scheme, name), low, truth, high)
            note(tally, (model, name), low, truth, high)
            if plain:
                low, high = fit.profile_interval(0.1 if name == "b10" else name)
                note(tally, (few + ", plain", name), low, truth, high)
    return tally


def study_equation(trials: int, seed: int, shown: Callable[[str, int], None]) -> Tally:
    """Ranges of exponents and of a middle life, from 6 to 12 edges, some stopped."""
    tally: Tally = defaultdict(lambda: [0, 0, 0, 0])
    models: tuple[LifeModel, ...] = ("lognormal", "weibull")
    for number in range(trials):
        shown("equation", number)
        model = models[number % 2]
        generator = np.random.default_rng([seed, 1, number])
        x, y = generator.uniform(1, 4), generator.uniform(0.2, 2)
        sigma = generator.uniform(0.1, 0.5)
        count = int(generator.integers(6, 13))
        speeds = generator.choice([60.0, 80.0, 100.0, 120.0], count)
        feeds = generator.choice([0.10, 0.15, 0.20], count)
        median = math.log(math.log(2)) if model == "weibull" else 0.0
        middle = 500.0 * (speeds / 80) ** -x * (feeds / 0.15) ** -y
        holes = middle * np.exp(sigma * (standard(model, generator, count) - median))
        stop = float(np.quantile(holes, 1.0 - generator.uniform(0, 0.4)))
        equation = fit_tool_life(
            [
                ToolLifePoint(v, f, ended_at(t) if t <= stop else stopped_at(stop))
                for v, f, t in zip(speeds.tolist(), feeds.tolist(), holes.tolist(), strict=True)
            ],
            model,
        )
        if not equation.intervals or len(equation.intervals) < 2:
            tally[("verdict", "equation")][3] += 1
            continue
        for name, truth in (("speed_exponent", x), ("feed_exponent", y)):
            low, high = equation.intervals[name]
            note(tally, ("equation", name), low, truth, high)
        at = equation.life_at(80, 0.15)
        note(tally, ("equation", "middle life"), at.low, 500.0, at.high)
    return tally


def study_wear(trials: int, seed: int, shown: Callable[[str, int], None]) -> Tally:
    """Ranges of projected holes to wear: growth in random steps, readings with error."""
    tally: Tally = defaultdict(lambda: [0, 0, 0, 0])
    for number in range(trials):
        shown("wear", number)
        generator = np.random.default_rng([seed, 2, number])
        points, limit, truth = wear_of_an_edge(generator)
        projection = project(points, limit, points[-1].hole) if points else None
        if projection is None or not projection.ok:
            tally[("verdict", "projection")][3] += 1
            continue
        note(tally, ("wear", "projected"), projection.low, truth, projection.high)
        share = max(point.wear_mm for point in points) / limit
        part = "from below 70 % of the limit" if share < 0.7 else "from 70 % of the limit on"
        note(tally, ("wear", part), projection.low, truth, projection.high)
    return tally


def wear_of_an_edge(generator: np.random.Generator) -> tuple[list[WearPoint], float, float]:
    """Readings of one edge until somebody stops it below the limit, and where it really lay."""
    while True:
        life, limit = generator.uniform(100, 2000), generator.choice([0.2, 0.3, 0.5])
        holes = np.linspace(0, 4 * life, 4001)[1:]
        run_in, settle = generator.uniform(0, 0.3) * limit, generator.uniform(0.02, 0.15) * life
        onset, faster = generator.uniform(0.6, 1.6) * life, generator.uniform(0, 6)
        rate = run_in / settle * np.exp(-holes / settle) + (limit - run_in) / life * (
            1 + faster * np.maximum(0, holes - onset) / life
        )
        # Gamma steps: a tenth of the limit is worn with a variation of 15 %.
        lump = 0.1 * limit * 0.15**2
        wear = np.cumsum(generator.gamma(np.maximum(rate * holes[0] / lump, 1e-9))) * lump
        if wear[-1] < limit:
            continue
        truth = float(holes[np.argmax(wear >= limit)])
        every = life / generator.integers(4, 12)
        at = np.round(np.arange(1, generator.integers(2, 20) + 1) * every)
        at = at[at < truth]
        error = np.sqrt(0.008**2 + (0.05 * np.interp(at, holes, wear)) ** 2)
        read = np.round(
            np.maximum(0, np.interp(at, holes, wear) + error * generator.standard_normal(len(at))),
            2,
        )
        over = np.nonzero(read >= limit)[0]
        last = int(over[0]) if len(over) else len(at)
        pairs = zip(at[:last].tolist(), read[:last].tolist(), strict=True)
        return [WearPoint(hole, mm) for hole, mm in pairs], float(limit), truth


def lines(tally: Tally) -> Iterator[str]:
    """The table, as it stands in docs/life.md."""
    yield "| lives | range of | trials | holds the truth | truth below | truth above |"
    yield "| --- | --- | --- | --- | --- | --- |"
    groups = [
        "all",
        *(f"{n} ended{p}" for n in ("3", "4 or 5", "6 to 12") for p in ("", ", plain")),
    ]
    groups += ["weibull", "lognormal", *SCHEMES, "equation", "wear"]
    found = [(keys, numbers) for keys, numbers in tally.items() if keys[0] != "verdict"]
    found.sort(key=lambda one: groups.index(one[0][0]))
    for (group, name), (inside, below, above, asked) in found:
        yield (
            f"| {group} | {name} | {asked} | {100 * inside / asked:.1f} % "
            f"| {100 * below / asked:.1f} % | {100 * above / asked:.1f} % |"
        )
    for (group, name), numbers in tally.items():
        if group == "verdict":
            yield f"\nA verdict instead of numbers ({name}): {numbers[3]} times."


STUDIES = {"lives": study_lives, "equation": study_equation, "wear": study_wear}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=1000, help="simulated trials of each kind")
    parser.add_argument("--only", choices=list(STUDIES), help="one of the three studies")
    parser.add_argument("--seed", type=int, default=1, help="another seed, other trials")
    given = parser.parse_args()

    def shown(kind: str, number: int) -> None:
        if number % 10 == 0:
            print(f"\r{kind}: {number} of {given.trials} ", end="", file=sys.stderr, flush=True)

    for name in [given.only] if given.only else STUDIES:
        tally = STUDIES[name](given.trials, given.seed, shown)
        print("\r", end="", file=sys.stderr)
        print("\n".join(lines(tally)) + "\n", flush=True)


if __name__ == "__main__":
    main()
