"""How life goes where several ways of wear add up.

An edge is worn by heat, by the way that it rubs, and by thick chips that crush it; what each takes
of it in one hole adds up, and life is what is left of 1. So life falls steeply where heat or thick
chips rule and gently between. How much of the wear at the start is each, and how steeply heat grows
with speed, is not known: a table of possibilities, kept apart and believed as far as runs bear them
out. The law of Taylor holds for heat alone; that rates of wear add up is common practice in models
of tool wear. Figures: those that foresee lives of the benchmark best (decision 0039), rounded.
"""

from __future__ import annotations

import itertools

import numpy as np

from trials.optimizer.gaussian import Floats, Shape

# Shares of the wear at the start: a start that a person chose is hardly beyond where way rules.
_HEAT, _CRUSHING = (0.05, 0.15, 0.4), (0.02, 0.08, 0.25)
# Wear of one hole goes by heat with these powers of the speed, one less than those of Taylor (a
# faster hole takes less time: minutes to wear with n from 0.33 to 0.2), and with a tenth of them
# of the feed; by way with the turns that a hole takes, nearly; by thick chips with this power.
_STEEP, _OF_FEED = (2.0, 4.0), 0.1
_WAY_FEED, _CRUSHING_FEED = -0.7, 2.5


def _life(heat: float, crushing: float, steep: float) -> Shape:
    def log_life(x: Floats) -> Floats:
        speed, feed = x[:, 0], x[:, 1]
        wear = heat * np.exp(steep * (speed + _OF_FEED * feed))
        wear += crushing * np.exp(_CRUSHING_FEED * feed)
        wear += (1.0 - heat - crushing) * np.exp(_WAY_FEED * feed)
        result: Floats = -np.log(wear)
        return result

    return log_life


# Log life against that at the start, of features as in `physics`; one for each possibility.
LIVES = tuple(itertools.starmap(_life, itertools.product(_HEAT, _CRUSHING, _STEEP)))
