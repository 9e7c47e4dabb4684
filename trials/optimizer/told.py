"""What a test that is stopped before the drill is worn tells of its life.

Its holes are a lower bound. Its load tells more: the further it has grown towards that of a worn
edge, the further worn the edge is.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.special import ndtr

from trials.optimizer.gaussian import Floats

# The peak load grows with this power of the share of the life that is drilled, and the doubt of the
# power: wear goes steadily, and fast in the end. From memory.
GROWTH_POWER, GROWTH_POWER_SD = 1.25, 0.3
# A load that has grown less, in logarithms, tells nothing of how far an edge is worn.
LEAST_GROWTH = 0.02


def by_holes(z: Floats) -> Floats:
    """Share of the doubt about a life that outlasting ``z`` standard deviations above it takes.

    With log life normal it is 1 − (1 − Φ(z))·(1 − λ·(λ − z)), λ = φ(z) / (1 − Φ(z)) (variance of a
    truncated normal, any textbook).
    """
    outlasting = np.maximum(ndtr(-z), 1e-300)
    ratio = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi) / outlasting
    result: Floats = np.where(
        outlasting < 1e-12, 1.0, 1.0 - outlasting * (1.0 - ratio * (ratio - z))
    )
    return result


def to_go(
    worn: Floats, worn_known_sd: Floats, shown: Floats, scatter_sd: float
) -> tuple[Floats, Floats, Floats]:
    """Logarithm of life over holes drilled, by the growth of the load of a stopped edge.

    Args:
        worn, worn_known_sd: growth of the load until worn, in logarithms, and the doubt about it.
        shown: growth as far as it was seen.
        scatter_sd: of the growth from edge to edge.

    Returns:
        It, the standard deviation that each edge has by itself, and the one that comes from the
        growth of worn edges.
    """
    further = np.maximum(np.log(worn / shown), 0.0) / GROWTH_POWER
    of_scatter = scatter_sd / shown / GROWTH_POWER
    own = np.hypot(of_scatter, GROWTH_POWER_SD / GROWTH_POWER * further)
    return further, own, worn_known_sd / worn / GROWTH_POWER


def by_load(
    share: Floats, growth: Floats, growth_known_sd: Floats, growth_scatter_sd: float,
    outcome_sd: Floats,
) -> Floats:  # fmt: skip
    """Share of the doubt about a life that the load of an edge stopped after ``share`` of it takes.

    ``outcome_sd`` is the doubt about log life of that edge; what its load says of it has a doubt of
    its own, which a worn edge has not.
    """
    worn = np.maximum(growth, LEAST_GROWTH)
    shown = worn * share**GROWTH_POWER
    _, own, of_worn = to_go(worn, growth_known_sd, shown, growth_scatter_sd)
    doubt = np.hypot(own, of_worn)
    result: Floats = np.where(shown < LEAST_GROWTH, 0.0, outcome_sd**2 / (outcome_sd**2 + doubt**2))
    return result
