"""What is known before any run: which way life, load and time go, and how surely.

All quantities are natural logarithms, measured from the start of the search. Exponents are priors
to be moved by runs: from memory and common practice unless a source is named.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from trials.mechanics import (
    SPLIT_POINT,
    STANDARD_POINT,
    WORN_TORQUE_FACTOR,
    cutting_force_values,
    handbook_thrust_n,
    hole_time,
    load_pct,
    material_defaults,
    point_length_mm,
    rpm,
    torque_n_m,
)
from trials.model import CuttingData, Work
from trials.optimizer import wear
from trials.optimizer.gaussian import Floats, Prior, Shape
from trials.optimizer.problem import Problem

FEATURES = ("speed", "feed", "re-entries", "chip column", "speed squared", "feed squared")
# Change of each feature over which the residual of a Gaussian process forgets; the squares bend
# the straight lines and have no place in the residual.
_REACH = (0.5, 0.6, 0.8, 0.8, 1e3, 1e3)

# Built-up edge: in a range of speeds work welds to the edge and tears it away, so that life dips by
# a factor and comes back on either side; or it does not come back below. Where the range lies from
# the start, in logarithms, how wide it is, and by how much life dips: from memory.
_DIP_AT, _DIP_WIDTH, _DIP_BY = (-0.45, -0.3, -0.15, 0.0, 0.15), 0.3, (0.8, 1.6)
_BELIEF_IN_A_DIP = 0.06


def _dip(at: float, by: float) -> Shape:
    def shape(x: Floats) -> Floats:
        bump = np.exp(-(((x[:, 0] - at) / _DIP_WIDTH) ** 2))
        result: Floats = by * (math.exp(-((at / _DIP_WIDTH) ** 2)) - bump)
        return result

    return shape


_DIPS = tuple(
    (_BELIEF_IN_A_DIP / (len(_DIP_AT) * len(_DIP_BY)), _dip(at, by))
    for at in _DIP_AT
    for by in _DIP_BY
)

_LIFE_SLOPES = (-2.2, -0.1, -0.15, -0.4, -0.8, -1.0)
_BENT = [0, 1, 4, 5]  # features of speed and feed

# Life may also hold where it is expected to fall with speed, for reasons that nobody has thought
# of. From memory.
_BELIEF_THAT_LIFE_HOLDS = 0.02

# Several ways of wear mostly add up; the rest is a line that bends. From memory.
_BELIEF_THAT_WEAR_ADDS_UP = 0.8


def _holds(x: Floats) -> Floats:
    result: Floats = -_LIFE_SLOPES[0] * np.maximum(x[:, 0], 0.0)
    return result


def _adds_up(log_life: Shape) -> Shape:
    """Its difference from the line that bends, which is the mean without any shape."""

    def shape(x: Floats) -> Floats:
        result: Floats = log_life(x) - x[:, _BENT] @ np.asarray(_LIFE_SLOPES)[_BENT]
        return result

    return shape


_WEAR = tuple((_BELIEF_THAT_WEAR_ADDS_UP / len(wear.LIVES), _adds_up(one)) for one in wear.LIVES)

# Chips begin to pack in a column of about so many diameters.
_COLUMN_PACKS_XD = 2.5

# Life in holes. Extended Taylor: minutes ~ speed^(-1/n) · feed^(-b). With n about 0.3 (carbide), b
# about 1 and holes ~ minutes · speed · feed, holes go with speed^-2.2 and hardly with feed: thick
# chips load the edge, thin ones rub it a longer way; so the feed bends more than the speed. Most
# wear comes at entry, so re-entries cost life; so do packed chips. The spreads stand beside the
# ways of wear, which are far apart.
LIFE = Prior(
    level_sd=1.0, slopes_sd=(0.6, 0.3, 0.2, 0.3, 0.3, 0.3), reach=_REACH,
    residual_sd=(0.05, 0.15, 0.35), noise_sd=(0.15, 0.22, 0.33), noise_expected=0.23,
    shapes=(*_DIPS, (_BELIEF_THAT_LIFE_HOLDS, _holds), *_WEAR),
)  # fmt: skip
# A shop plans its longest test about as long as it expects a drill to last.
_LIFE_SHARE_OF_LONGEST_TEST = 0.6

# Fresh peak load. The machine's rating and the specific force give level and exponents; published
# specific forces disagree by a third, and an unknown material by more.
_LOAD_LEVEL_SD = {"known": 0.3, "group": 0.4, "neither": 0.55}
_LOAD_SLOPES_SD = (0.07, 0.07, 0.07, 0.15, 0.03, 0.03)
_LOAD_SLOPES = (0.0, 0.0, 0.0, 0.15, 0.0, 0.0)
# Without the machine: a start that a person chose loads the spindle by a quarter or so.
_BLIND_LOAD_PCT = 25.0
_BLIND_LEVEL_SD = 0.6
_BLIND_SLOPES = (0.4, 0.8, 0.0, 0.15, 0.0, 0.0)
_BLIND_SLOPES_SD = (0.5, 0.2, 0.1, 0.25, 0.1, 0.05)
_KC1_1_MIDDLE, _MC_MIDDLE = 1800.0, 0.22

# What a spindle may draw idling, without a cut, in % of its rating, and the belief in each; the
# rest is the belief that the load is of the cut alone. It is never more than this share of a load
# that was seen. From memory.
_IDLE_PCT = ((0.3, 3.0), (0.3, 7.0), (0.15, 14.0))
_IDLE_AT_MOST = 0.7

# Growth of the peak load from fresh to worn: a worn drill asks for about 1.3 times the torque
# (handbook wear factor), often more; logarithm of that.
GROWTH_MIDDLE = 0.3
GROWTH = Prior(
    level_sd=0.1, slopes_sd=(0.05, 0.05, 0.03, 0.05, 0.015, 0.015), reach=_REACH,
    residual_sd=(0.015, 0.05), noise_sd=(0.025, 0.045, 0.08, 0.16), noise_expected=0.04,
)  # fmt: skip

# Cycle time: the computed hole plus moving to the next one, which the computation leaves out.
_MOVING = 0.2
CYCLE = Prior(
    level_sd=0.5, slopes_sd=(0.2, 0.2, 0.15, 0.1, 0.02, 0.02), reach=_REACH,
    residual_sd=(0.02, 0.08), noise_sd=(0.01, 0.03), noise_expected=0.015,
)  # fmt: skip


def features(problem: Problem, data: Sequence[CuttingData]) -> Floats:
    """Features of cutting data relative to the start, shape (len(data), 6).

    Logarithms of speed and feed; logarithm of entries into the hole (a chip-break peck stays in
    the hole and counts a third); the uncleared chip column (a full retract clears to one peck, a
    chip-break peck halfway), of no account when short and logarithmic when long.
    """
    x = _raw(problem, data) - _raw(problem, [problem.start])
    return np.column_stack([x, x[:, 0] ** 2, x[:, 1] ** 2])


def _raw(problem: Problem, data: Sequence[CuttingData]) -> Floats:
    """The first four features, not yet against the start."""
    depth = problem.depth_mm + point_length_mm(problem.diameter_mm, problem.point_angle_deg)
    depth_xd = depth / problem.diameter_mm
    speed, feed, depths_xd = np.asarray(
        [(one.speed_m_per_min, one.feed_mm_per_rev, one.peck_depth_xd) for one in data]
    ).reshape(len(data), 3).T  # fmt: skip
    mode = np.asarray([one.peck_mode for one in data], dtype=str)
    stays = mode == "chip_break"
    peck_xd = np.where(mode == "none", depth_xd, np.minimum(depths_xd, depth_xd))
    entries = np.log(depth_xd / peck_xd) / np.where(stays, 3.0, 1.0)
    column = np.where(stays, (peck_xd + depth_xd) / 2.0, peck_xd)
    return np.column_stack([
        np.log(speed), np.log(feed), entries, 0.5 * np.log1p((column / _COLUMN_PACKS_XD) ** 2),
    ])  # fmt: skip


def pecking(problem: Problem, data: CuttingData) -> Floats:
    """Logarithms of entries and of the uncleared chip column, as in `features`."""
    return _raw(problem, [data])[0, 2:]


def log_maker_feed(problem: Problem) -> float | None:
    """Logarithm of the maker's highest feed over that of the start; None where none is given."""
    given = problem.maker_feed_mm_per_rev
    return None if given is None else math.log(given[1] / problem.start.feed_mm_per_rev)


def life_mean(problem: Problem, x: Floats) -> Floats:
    """Prior mean of log holes to wear.

    A drill lasts about as long as a shop plans its longest test: at the start, or in the middle of
    its maker's range where that is known.
    """
    level = math.log(max(2.0, _LIFE_SHARE_OF_LONGEST_TEST * problem.max_test_holes))
    middle = np.zeros(len(FEATURES))
    for index, given, start in (
        (0, problem.maker_speed_m_per_min, problem.start.speed_m_per_min),
        (1, problem.maker_feed_mm_per_rev, problem.start.feed_mm_per_rev),
    ):
        if given is not None:
            middle[index] = math.log(math.sqrt(given[0] * given[1]) / start)
    result: Floats = level + (x - middle) @ np.asarray(_LIFE_SLOPES)
    return result


def known_of_force(problem: Problem) -> Literal["known", "group", "neither"]:
    """Whether the specific force is known, or the group of the work, or neither (then steel's)."""
    if problem.kc1_1_n_per_mm2 is not None:
        return "known"
    return "neither" if problem.group is None else "group"


def load_prior(problem: Problem, start_pct: float) -> Prior:
    """Prior spread of the log fresh load, where the start loads the spindle by ``start_pct`` %."""
    if problem.machine is None:
        level, slopes = _BLIND_LEVEL_SD, _BLIND_SLOPES_SD
    else:
        level, slopes = _LOAD_LEVEL_SD[known_of_force(problem)], _LOAD_SLOPES_SD
    return Prior(
        level_sd=level, slopes_sd=slopes, reach=_REACH,
        residual_sd=(0.02, 0.05, 0.12), noise_sd=(0.015, 0.03, 0.06, 0.1), noise_expected=0.025,
        shapes=tuple(
            (belief, _with_idling(problem, min(idle / start_pct, _IDLE_AT_MOST)))
            for belief, idle in _IDLE_PCT
        ),
    )  # fmt: skip


def _with_idling(problem: Problem, share: float) -> Shape:
    """Change of the log load where ``share`` of the load at the start is idling.

    Idling stays the same everywhere, so the load falls less with a lighter cut and rises less with
    a heavier one than the load of the cut does.
    """

    def shape(x: Floats) -> Floats:
        log_cut = _log_cut(problem, x)
        result: Floats = np.log(share * np.exp(-log_cut) + 1.0 - share)
        return result

    return shape


def _log_cut(problem: Problem, x: Floats) -> Floats:
    """Log load of the cut against that at the start, as in `load_mean`."""
    machine = problem.machine
    if machine is None:
        blind: Floats = x[:, :2] @ np.asarray(_BLIND_SLOPES[:2])
        return blind
    _, mc = _specific_force(problem)
    start_rpm = rpm(problem.start.speed_m_per_min, problem.diameter_mm)
    turning = [
        load_pct(machine, start_rpm * math.exp(step), 1.0) for step in [0.0, *x[:, 0].tolist()]
    ]
    result: Floats = (1.0 - mc) * x[:, 1] + np.log(np.asarray(turning[1:]) / turning[0])
    return result


def load_mean(problem: Problem, data: Sequence[CuttingData], x: Floats) -> Floats:
    """Prior mean of the log fresh peak load in %.

    With a machine: torque from the specific force (power law in the feed) over its rated torque,
    or power over its rated power above the base speed.
    """
    machine = problem.machine
    if machine is None:
        blind: Floats = math.log(_BLIND_LOAD_PCT) + x @ np.asarray(_BLIND_SLOPES)
        return blind
    kc1_1, mc = _specific_force(problem)
    loads = []
    for one in data:
        torque = torque_n_m(
            problem.diameter_mm, one.feed_mm_per_rev, kc1_1, mc, problem.point_angle_deg
        )
        loads.append(load_pct(machine, rpm(one.speed_m_per_min, problem.diameter_mm), torque))
    result: Floats = np.log(np.asarray(loads)) + x @ np.asarray(_LOAD_SLOPES)
    return result


def _specific_force(problem: Problem) -> tuple[float, float]:
    kc1_1, mc = _KC1_1_MIDDLE, _MC_MIDDLE
    if problem.group is not None:
        kc1_1, mc = cutting_force_values(Work("work", problem.group))
    if problem.kc1_1_n_per_mm2 is not None:
        kc1_1 = problem.kc1_1_n_per_mm2
    return kc1_1, problem.mc if problem.mc is not None else mc


def thrust_n(problem: Problem, data: CuttingData) -> float:
    """Thrust of a worn drill by the handbook formula; steel's factor when the group is unknown."""
    return handbook_thrust_n(
        problem.diameter_mm,
        data.feed_mm_per_rev,
        material_defaults(problem.group or "P").kd if problem.kd is None else problem.kd,
        chisel_ratio=SPLIT_POINT if problem.substrate == "carbide" else STANDARD_POINT,
        wear_factor=WORN_TORQUE_FACTOR,
    )


def cycle_mean(problem: Problem, data: Sequence[CuttingData]) -> Floats:
    """Prior mean of the log cycle time in min."""
    rapid = 20_000.0 if problem.machine is None else problem.machine.rapid_mm_per_min
    times = [
        hole_time(
            one, problem.diameter_mm, problem.depth_mm,
            point_angle_deg=problem.point_angle_deg, through=problem.through,
            rapid_mm_per_min=rapid,
        ).cycle_min
        for one in data
    ]  # fmt: skip
    result: Floats = np.log(np.asarray(times, dtype=float)) + _MOVING
    return result
