"""Figures: each one is a small frozen data object first, which is tested, and then a drawing."""

from trials.figures.convergence import (
    UNSAFE_ENDS,
    Convergence,
    RunMark,
    convergence,
    draw_convergence,
)
from trials.figures.live_trace import LiveTrace, draw_live, live_trace, min_max_indices
from trials.figures.run_trend import RunTrend, draw_run_trend, run_trend
from trials.figures.setting_card import SettingCard, setting_card
from trials.figures.style import (
    DARK,
    END_MARKS,
    LIGHT,
    NOT_ENDED,
    DecimalMark,
    EndMark,
    Palette,
    end_mark,
    palette,
)
from trials.figures.trace_overlay import HoleShown, TraceOverlay, draw_overlay, trace_overlay

__all__ = [
    "DARK",
    "END_MARKS",
    "LIGHT",
    "NOT_ENDED",
    "UNSAFE_ENDS",
    "Convergence",
    "DecimalMark",
    "EndMark",
    "HoleShown",
    "LiveTrace",
    "Palette",
    "RunMark",
    "RunTrend",
    "SettingCard",
    "TraceOverlay",
    "convergence",
    "draw_convergence",
    "draw_live",
    "draw_overlay",
    "draw_run_trend",
    "end_mark",
    "live_trace",
    "min_max_indices",
    "palette",
    "run_trend",
    "setting_card",
    "trace_overlay",
]
