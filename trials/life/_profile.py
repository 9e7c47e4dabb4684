"""Large-sample intervals by profile likelihood."""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

import numpy as np

from trials.life._likelihood import Floats, Likelihood, highest

_REACH = 7.0  # how far in log σ the best partner of a fixed quantile is looked for


def profile_interval(
    likelihood: Likelihood, log_sigma: float, z: float | None, level: float
) -> tuple[float, float]:
    """Values within chi-square(level, 1)/2 of the highest log-likelihood.

    Args:
        likelihood: of the lives.
        log_sigma: where it is highest.
        z: standardised log life of the quantile asked for; None asks for σ itself.
        level: confidence.

    Returns:
        Interval of σ, or of the quantile in holes.
    """
    sigma = math.exp(log_sigma)
    mu = float(likelihood.best_mu(np.array([sigma]))[0])
    top = float(likelihood.at(mu, sigma))
    floor = top - NormalDist().inv_cdf((1.0 + level) / 2.0) ** 2 / 2.0
    if z is None:
        low, high = crossings(
            lambda s: float(likelihood.profile(np.array([s]))[0]) - floor, log_sigma, 0.3
        )
        return math.exp(low), math.exp(high)

    def of_quantile(log_life: float) -> float:
        def partner(s: Floats) -> Floats:
            sigmas = np.exp(s)
            return likelihood.at(log_life - z * sigmas, sigmas)

        return highest(partner, log_sigma - _REACH, log_sigma + _REACH)[1] - floor

    low, high = crossings(of_quantile, mu + z * sigma, 0.5 * sigma)
    return math.exp(low), math.exp(high)


def crossings(
    over: Callable[[float], float], middle: float, step: float, most: float = 1e4
) -> tuple[float, float]:
    """Where ``over`` falls to zero left and right of ``middle``; infinite where it never does."""
    from scipy.optimize import brentq

    ends = []
    for sign in (-1.0, 1.0):
        inside, reach = 0.0, step
        while over(middle + sign * reach) >= 0:
            inside, reach = reach, reach * 2.0
            if reach > most * step:
                ends.append(sign * math.inf)
                break
        else:
            ends.append(
                float(brentq(over, middle + sign * inside, middle + sign * reach, xtol=1e-7 * step))
            )
    return ends[0], ends[1]
