"""Which model of the life the edges speak for, and what each end does on its own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

from trials.life._likelihood import LifeModel
from trials.life.fit import LifeFit, fit_lives
from trials.life.lives import Life, apart
from trials.model import End

# A difference in AIC below this is no evidence: Burnham and Anderson, Model Selection and
# Multimodel Inference, 2002, section 2.6 (from memory).
_CLEAR = 2.0


@dataclass(frozen=True, slots=True)
class ModelChoice:
    """Fits of the same lives, the one with the lowest AIC first, or a verdict.

    Args:
        fits: one for each model; empty of numbers when they carry a verdict.
        weights: share of belief for each fit by its AIC, in the same order, adding up to 1.
        verdict: one sentence on what the lives say about the models.
    """

    fits: tuple[LifeFit, ...]
    weights: tuple[float, ...]
    verdict: str

    @property
    def best(self) -> LifeFit:
        """The fit with the lowest AIC."""
        return self.fits[0]


def choose_model(lives: Sequence[Life], level: float = 0.9) -> ModelChoice:
    """Fit both models and say which one the lives speak for, if they do.

    Both have two parameters, so AIC and log-likelihood rank them alike. Few lives cannot tell
    them apart, and then they differ most where it matters: at the early ends.
    """
    fits = [fit_lives(lives, model, level=level) for model in get_args(LifeModel)]
    if not all(fit.ok for fit in fits):
        return ModelChoice(tuple(fits), (), next(fit.verdict for fit in fits if not fit.ok))
    fits.sort(key=lambda fit: fit.aic or 0.0)
    first = fits[0].aic or 0.0
    raw = [math.exp(-((fit.aic or 0.0) - first) / 2.0) for fit in fits]
    weights = tuple(value / sum(raw) for value in raw)
    apart_by = (fits[1].aic or 0.0) - first
    early = " and ".join(f"{fit.b10:.4g} ({fit.model})" for fit in fits)
    if apart_by < _CLEAR:
        verdict = (
            f"These lives cannot tell the two models apart (AIC differs by {apart_by:.2f}). "
            f"One edge in ten ends by hole {early}: plan with the earlier one."
        )
    else:
        verdict = f"The lives speak for {fits[0].model} (AIC lower by {apart_by:.1f})."
    return ModelChoice(tuple(fits), weights, verdict)


def fit_modes(
    lives: Sequence[Life], model: LifeModel = "weibull", *, level: float = 0.9
) -> dict[End, LifeFit]:
    """The life that each mode alone would give, the others taken as stopped there.

    For ``worn`` that is the life of an edge that never chips or breaks. Each mode has its own
    verdict when it ended too few edges. The modes are taken as independent, which lives alone
    cannot show (see `trials.life.lives.apart`).
    """
    modes = sorted({life.mode for life in lives if life.mode is not None})
    return {mode: fit_lives(apart(lives, mode), model, level=level) for mode in modes}
