"""Tool-life equation: holes against speed and feed, a straight line in logarithms.

holes = K · speed^(−x) · feed^(−y), scattered by a factor that is lognormal or Weibull. That is the
extended Taylor equation with holes for minutes; one hole takes a time that goes with
1/(speed·feed), so in minutes of cutting the exponents are x + 1 and y + 1, and Taylor's n is
1/(x + 1). Source: Taylor, Trans. ASME 28, 1907; regression with censored lives: Lawless 2003,
chapter 6.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from trials.errors import require
from trials.life._likelihood import Floats, LifeModel, log_survival, quantile_z
from trials.life._regression import CensoredRegression, Fitted, likelihood_limit
from trials.life.lives import Life

# Speed and feed that rise and fall together (correlation of their logarithms beyond this) leave
# their exponents undecided; a variance inflation of ten. Common practice, no source.
_TOGETHER = 0.95
_ODD = 0.05  # of a set of edges without an odd one, less than one in ten has an edge called odd
_NARROW = 1.15  # a largest value less than this many times the smallest is hardly a change


@dataclass(frozen=True, slots=True)
class ToolLifePoint:
    """One edge: its cutting data and its life."""

    speed_m_per_min: float
    feed_mm_per_rev: float
    life: Life

    def __post_init__(self) -> None:
        require(0 < self.speed_m_per_min < math.inf, "speed", self.speed_m_per_min,
                "m/min, more than 0")  # fmt: skip
        require(0 < self.feed_mm_per_rev < math.inf, "feed", self.feed_mm_per_rev,
                "mm/rev, more than 0")  # fmt: skip
        require(self.life.low > 0 or self.life.ended, "life", self.life.low,
                "a number of holes above 0")  # fmt: skip


@dataclass(frozen=True, slots=True)
class LifeAt:
    """Holes of a middle edge at some cutting data, with its range, and whether it was tried there.

    ``high`` is infinite and ``low`` 0 where the lives set no bound; ``beyond`` says that speed or
    feed lies outside what was drilled with.
    """

    low: float
    holes: float
    high: float
    beyond: bool


@dataclass(frozen=True, slots=True)
class ToolLifeEquation:
    """A fitted equation, or the reason why there is none (``ok`` is false, numbers are None).

    Args:
        verdict: empty when there is a fit.
        lives, failures: edges, and how many of them came to their end.
        model: scatter of life about the line, ``lognormal`` or ``weibull``.
        log_constant: natural logarithm of K.
        speed_exponent, feed_exponent: x and y; None when speed or feed was never changed.
        scatter: σ of log life about the line; 0 when the line goes through every life.
        log_likelihood: with the density of log holes.
        intervals: of ``speed_exponent`` and ``feed_exponent`` at ``level``; empty when no life is
            left over to judge the scatter by.
        warnings: what the design or the residuals hold against the equation, one sentence each.
        residuals: standardised, in the order of the points; for a stopped edge from its lower
            bound, so the true one is larger.
    """

    model: LifeModel
    lives: int
    failures: int
    verdict: str = ""
    log_constant: float | None = None
    speed_exponent: float | None = None
    feed_exponent: float | None = None
    scatter: float | None = None
    log_likelihood: float | None = None
    intervals: dict[str, tuple[float, float]] = field(default_factory=dict)
    level: float = 0.9
    warnings: tuple[str, ...] = ()
    residuals: tuple[float, ...] = ()
    points: tuple[ToolLifePoint, ...] = field(default=(), repr=False)

    @property
    def ok(self) -> bool:
        """Whether there is a fit."""
        return not self.verdict

    @property
    def taylor_n(self) -> float | None:
        """Taylor's n of V·Tⁿ = C with T in minutes of cutting; None without a speed exponent."""
        if self.speed_exponent is None or self.speed_exponent <= -1:
            return None
        return 1.0 / (1.0 + self.speed_exponent)

    def life_at(self, speed_m_per_min: float, feed_mm_per_rev: float) -> LifeAt:
        """Holes that half of all edges last at these cutting data, with the range of that number.

        The range is that of the middle life, not of a single edge.

        Raises:
            InputError: there is no fit, or a value is not above 0.
        """
        place = ToolLifePoint(speed_m_per_min, feed_mm_per_rev, Life(1, 1))
        require(self.ok, "life by the tool-life equation", "no fit", "a fit", self.verdict)
        problem, names = _problem(self.points, self.model)
        at = [math.log(getattr(place, name)) for name in names]
        log_life = (self.log_constant or 0.0) + sum(
            value * (-(self._exponent(name) or 0.0)) for name, value in zip(names, at, strict=True)
        )
        low, high = -math.inf, math.inf
        if self.intervals:
            moved = problem.moved(at)
            low, high = moved.interval(0, moved.fit(), self.level)
        beyond = any(
            not min(values) <= getattr(place, name) <= max(values)
            for name in _NAMES
            for values in [[getattr(point, name) for point in self.points]]
        )
        return LifeAt(_exp(low), math.exp(log_life), _exp(high), beyond)

    def said(self) -> tuple[str, ...]:
        """What it says in words: what a tenth more speed or feed does, and what to beware of."""
        if not self.ok:
            return (f"Holes against speed and feed: {self.verdict}",)
        found = []
        for name in _NAMES:
            exponent = self._exponent(name)
            if exponent is None:
                continue
            span = self.intervals.get(f"{_WORD[name]}_exponent")
            width = "" if span is None else f" ({span[0]:.2f} to {span[1]:.2f})"
            change = round(100 * (1.1**-exponent - 1.0))
            does = f"changes holes to wear by {change:+d} %" if change else "changes nothing"
            found.append(f"A tenth more {_WORD[name]} {does}: exponent {exponent:.2f}{width}.")
        return (*found, *self.warnings)

    def _exponent(self, name: str) -> float | None:
        return self.speed_exponent if name == _NAMES[0] else self.feed_exponent


_NO_SCATTER = (
    "The line goes through every life, so nothing is left to judge its scatter by: exponents "
    "without intervals. Drill more edges."
)
_NAMES = ("speed_m_per_min", "feed_mm_per_rev")
_WORD = dict(zip(_NAMES, ("speed", "feed"), strict=True))


def fit_tool_life(
    points: Sequence[ToolLifePoint], model: LifeModel = "lognormal", *, level: float = 0.9
) -> ToolLifeEquation:
    """Fit holes against speed and feed.

    Speed or feed that was never changed gets no exponent, and a warning says so. Exactly as many
    ended lives as unknowns give the exponents without intervals.

    Raises:
        InputError: the model or the level is unknown.
    """
    require(model in ("weibull", "lognormal"), "model of the life", model, "weibull, lognormal")
    require(0.5 <= level < 1, "level of the intervals", level, "0.5 up to but not 1")
    failures = sum(point.life.ended for point in points)

    def verdict(text: str) -> ToolLifeEquation:
        return ToolLifeEquation(
            model, len(points), failures, verdict=text, level=level, points=tuple(points)
        )

    if not points:
        return verdict("no edges: a tool-life equation needs lives at different speeds or feeds.")
    problem, names = _problem(points, model)
    if not names:
        return verdict(
            "speed and feed were the same for every edge: there is no equation to fit, only a life "
            "at these cutting data. Drill with two speeds or two feeds."
        )
    ended = problem.columns[np.isfinite(problem.high)]
    unknowns = problem.columns.shape[1]
    if failures < unknowns or _rank(ended) < len(names):
        return verdict(
            f"not enough failures: {failures} of {len(points)} edges came to their end, and the "
            f"cutting data at which they did cannot tell {unknowns} unknowns apart (level"
            f"{''.join(', exponent of ' + _WORD[name] for name in names)}). Wear out edges at "
            + ("different speeds and feeds, not only along one line between them."
               if len(names) == 2 else "both ends of the range.")
        )  # fmt: skip
    exact = np.asarray(problem.low == problem.high)
    if failures == unknowns or _no_scatter(problem, exact):
        if not exact.all():
            return verdict(
                f"not enough failures: {failures} ended lives and {unknowns} unknowns leave "
                "nothing to judge the scatter by, which the stopped edges need."
            )
        return _solved(points, problem, names, model, level)
    top = problem.fit()
    found = {name: problem.interval(place, top, level) for place, name in enumerate(names, start=1)}
    residuals = (problem.middle - problem.columns @ top.beta) / top.sigma
    return ToolLifeEquation(
        model, len(points), failures,
        log_constant=float(top.beta[0]), scatter=top.sigma, log_likelihood=top.log_likelihood,
        speed_exponent=_exponent_of(_NAMES[0], top.beta, names),
        feed_exponent=_exponent_of(_NAMES[1], top.beta, names),
        intervals={
            f"{_WORD[name]}_exponent": (-high, -low) for name, (low, high) in found.items()
        },
        level=level, residuals=tuple(residuals.tolist()), points=tuple(points),
        warnings=(*_design_warnings(points, names), *_sign_warnings(top.beta, found, names),
                  *_residual_warnings(problem, top, names, residuals, level)),
    )  # fmt: skip


def _problem(
    points: Sequence[ToolLifePoint], model: LifeModel
) -> tuple[CensoredRegression, list[str]]:
    """Responses and columns, with a column for each of speed and feed that was changed."""
    names = [name for name in _NAMES if len({getattr(point, name) for point in points}) > 1]
    rows = [[1.0, *(math.log(getattr(point, name)) for name in names)] for point in points]
    low = np.array([_log(point.life.low) for point in points])
    high = np.array([_log(point.life.high) for point in points])
    return CensoredRegression(low, high, np.array(rows).reshape(len(points), -1), model), names


def _rank(columns: Floats) -> int:
    """Directions in which speed and feed were varied; rounding is no variation."""
    return int(np.linalg.matrix_rank(columns - columns.mean(axis=0), tol=1e-9))


def _solved(
    points: Sequence[ToolLifePoint], problem: CensoredRegression, names: Sequence[str],
    model: LifeModel, level: float,
) -> ToolLifeEquation:  # fmt: skip
    beta = np.asarray(np.linalg.lstsq(problem.columns, problem.low, rcond=None)[0], dtype=float)
    return ToolLifeEquation(
        model, len(points), problem.ended, log_constant=float(beta[0]), scatter=0.0,
        speed_exponent=_exponent_of(_NAMES[0], beta, names),
        feed_exponent=_exponent_of(_NAMES[1], beta, names),
        level=level, residuals=(0.0,) * len(points), points=tuple(points),
        warnings=(_NO_SCATTER, *_design_warnings(points, names)),
    )  # fmt: skip


def _no_scatter(problem: CensoredRegression, exact: np.ndarray[tuple[int], np.dtype[np.bool_]]
                ) -> bool:  # fmt: skip
    if not exact.all():
        return False
    beta = np.linalg.lstsq(problem.columns, problem.low, rcond=None)[0]
    return float(np.abs(problem.low - problem.columns @ beta).max()) < 1e-9


def _exponent_of(name: str, beta: Floats, names: Sequence[str]) -> float | None:
    return -float(beta[1 + names.index(name)]) if name in names else None


def _design_warnings(points: Sequence[ToolLifePoint], names: Sequence[str]) -> list[str]:
    said = []
    for name in _NAMES:
        values = [getattr(point, name) for point in points]
        if name not in names:
            said.append(f"The {_WORD[name]} was never changed: its exponent is unknown, and the "
                        f"equation holds at {values[0]:g} only.")  # fmt: skip
        elif max(values) < _NARROW * min(values):
            said.append(f"The {_WORD[name]} hardly changed ({min(values):g} to {max(values):g}): "
                        "its exponent is a guess beyond that.")  # fmt: skip
    if len(names) == 2:
        logs = np.log([[getattr(point, name) for name in names] for point in points])
        together = float(np.corrcoef(logs.T)[0, 1])
        if abs(together) > _TOGETHER:
            said.append(
                f"Speed and feed went {'up together' if together > 0 else 'against each other'} "
                f"(correlation {together:.2f}): their exponents cannot be told apart. Drill at a "
                "high speed with a low feed, and the other way round."
            )
    return said


def _sign_warnings(
    beta: Floats, intervals: dict[str, tuple[float, float]], names: Sequence[str]
) -> list[str]:
    said = []
    for place, name in enumerate(names, start=1):
        low, high = intervals[name]
        if beta[place] > 0:
            said.append(f"Life grows with {_WORD[name]} here, against experience. Look for what "
                        "else changed (built-up edge, work batch, coolant).")  # fmt: skip
        elif high >= 0 or not math.isfinite(low):
            said.append(f"These lives do not show that {_WORD[name]} matters: the range of its "
                        "exponent includes none.")  # fmt: skip
    return said


def _residual_warnings(
    problem: CensoredRegression, top: Fitted, names: Sequence[str], residuals: Floats,
    level: float,
) -> list[str]:  # fmt: skip
    said = []
    ended = np.isfinite(problem.high)
    spare = problem.ended - problem.columns.shape[1]
    # The chance of lying so far out on either side, whatever the model's shape.
    above = log_survival(residuals + quantile_z(0.5, problem.model), problem.model)
    share = np.exp(np.minimum(above, np.log(-np.expm1(np.minimum(above, -1e-300)))))
    worst = int(np.argmin(np.where(ended, share, 1.0)))
    if share[worst] < _ODD / problem.ended and spare >= 3:
        said.append(f"Edge {worst + 1} lies {abs(residuals[worst]):.1f} times the scatter "
                    f"{'above' if residuals[worst] > 0 else 'below'} the line: look at it again."
                    )  # fmt: skip
    for place, name in enumerate(names, start=1):
        if len(np.unique(np.round(problem.columns[ended, place], 9))) < 3 or spare < 3:
            continue
        logs = problem.columns[:, place] - problem.columns[:, place].mean()
        bent = CensoredRegression(
            problem.low, problem.high, np.column_stack([problem.columns, logs**2]), problem.model
        )
        gain = bent.fit().log_likelihood - top.log_likelihood
        if gain > likelihood_limit(problem.ended, spare - 1, max(level, 0.95)):
            said.append(f"Life bends against {_WORD[name]} in logarithms: one exponent does not "
                        "hold over this range.")  # fmt: skip
    return said


def _log(value: float) -> float:
    return math.log(value) if 0 < value < math.inf else math.copysign(math.inf, value - 0.5)


def _exp(value: float) -> float:
    return math.exp(value) if value < 700 else math.inf
