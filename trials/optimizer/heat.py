"""How hot it has already been: the highest load that runs have shown for some cutting data.

A model may smooth a hot run away; this does not. Cutting data whose shown load reaches the limit
are never proposed, whatever the model says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from trials.model import CuttingData
from trials.optimizer.gaussian import Floats
from trials.optimizer.problem import RunResult
from trials.optimizer.risk import FAILED

# Cutting data this near to a run, in logarithms, count as the same as the run.
_SAME = 0.02


def shown_load_pct(data: Sequence[CuttingData], runs: Sequence[RunResult]) -> Floats:
    """The highest load that runs have shown for each of these cutting data, %; 0 when none did.

    A run speaks for its own place, and for all that is at least as harsh in speed and feed in the
    same peck mode with no shorter a peck. The last load of a chipped or broken edge is that of its
    failing and speaks only for its own place; its fresh load speaks as any other. A run that ended
    at the load limit makes its own place infinitely hot, and all beyond when no load was recorded.
    """
    shown = np.zeros(len(data))
    if not data:
        return shown
    place = np.log([[d.speed_m_per_min, d.feed_mm_per_rev, _peck_depth_xd(d)] for d in data])
    modes = np.asarray([one.peck_mode for one in data])
    for run in runs:
        at = run.cutting_data
        its_place = np.log([at.speed_m_per_min, at.feed_mm_per_rev, _peck_depth_xd(at)])
        further = np.where((modes == at.peck_mode)[:, None], place - its_place, -np.inf)
        same_place = (np.abs(further) <= _SAME).all(axis=1)
        as_harsh = (further >= -_SAME).all(axis=1)
        fresh, worn = run.load_fresh_pct or 0.0, run.load_worn_pct or 0.0
        beyond = fresh if run.end in FAILED else max(fresh, worn)
        here = max(fresh, worn)
        if run.end == "load_limit":
            here = math.inf
            beyond = math.inf if run.load_worn_pct is None else beyond
        shown = np.maximum(shown, np.where(as_harsh, beyond, 0.0))
        shown = np.maximum(shown, np.where(same_place, here, 0.0))
    return shown


def _peck_depth_xd(data: CuttingData) -> float:
    """Without pecks the depth of a peck has no meaning and must not tell places apart."""
    return 1.0 if data.peck_mode == "none" else data.peck_depth_xd
