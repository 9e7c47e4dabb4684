"""Figures: each one is a small frozen data object first, which is tested, and then a drawing."""

from trials.figures.by_quarter import ByQuarter, QuarterMark, by_quarter, draw_by_quarter
from trials.figures.change_interval import (
    ChangeInterval,
    EdgeEnd,
    change_interval,
    draw_change_interval,
)
from trials.figures.comparison import ComparisonFigure, comparison_figure, draw_comparison
from trials.figures.convergence import (
    UNSAFE_ENDS,
    Convergence,
    RunMark,
    convergence,
    draw_convergence,
)
from trials.figures.cost_breakdown import (
    PART_NAMES,
    CostBreakdown,
    DrillBar,
    cost_breakdown,
    draw_cost_breakdown,
)
from trials.figures.hole_grid import GridFigure, draw_grid, grid_figure
from trials.figures.life_distribution import (
    LifeDistribution,
    LifeMark,
    draw_life_distribution,
    life_distribution,
)
from trials.figures.live_trace import LiveTrace, draw_live, live_trace, min_max_indices
from trials.figures.ranges import NamedRange, RangesFigure, draw_ranges, ranges_figure
from trials.figures.recorded_lines import RecordedLines, draw_recorded_lines
from trials.figures.response_map import ResponseMap, TriedMark, draw_response_map
from trials.figures.run_size import RunSizeFigure, draw_run_size, run_size_figure
from trials.figures.run_trend import RunTrend, draw_run_trend, run_trend
from trials.figures.search_slices import (
    Direction,
    RunOnSlices,
    SearchSlice,
    SearchSlices,
    draw_search_slice,
    search_slices,
)
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
from trials.figures.trace_overlay import (
    HoleShown,
    TraceOverlay,
    draw_overlay,
    silences,
    trace_overlay,
)
from trials.figures.wear_curve import WearCurveFigure, draw_wear_curve, wear_curve

__all__ = [
    "DARK",
    "END_MARKS",
    "LIGHT",
    "NOT_ENDED",
    "PART_NAMES",
    "UNSAFE_ENDS",
    "ByQuarter",
    "ChangeInterval",
    "ComparisonFigure",
    "Convergence",
    "CostBreakdown",
    "DecimalMark",
    "Direction",
    "DrillBar",
    "EdgeEnd",
    "EndMark",
    "GridFigure",
    "HoleShown",
    "LifeDistribution",
    "LifeMark",
    "LiveTrace",
    "NamedRange",
    "Palette",
    "QuarterMark",
    "RangesFigure",
    "RecordedLines",
    "ResponseMap",
    "RunMark",
    "RunOnSlices",
    "RunSizeFigure",
    "RunTrend",
    "SearchSlice",
    "SearchSlices",
    "SettingCard",
    "TraceOverlay",
    "TriedMark",
    "WearCurveFigure",
    "by_quarter",
    "change_interval",
    "comparison_figure",
    "convergence",
    "cost_breakdown",
    "draw_by_quarter",
    "draw_change_interval",
    "draw_comparison",
    "draw_convergence",
    "draw_cost_breakdown",
    "draw_grid",
    "draw_life_distribution",
    "draw_live",
    "draw_overlay",
    "draw_ranges",
    "draw_recorded_lines",
    "draw_response_map",
    "draw_run_size",
    "draw_run_trend",
    "draw_search_slice",
    "draw_wear_curve",
    "end_mark",
    "grid_figure",
    "life_distribution",
    "live_trace",
    "min_max_indices",
    "palette",
    "ranges_figure",
    "run_size_figure",
    "run_trend",
    "search_slices",
    "setting_card",
    "silences",
    "trace_overlay",
    "wear_curve",
]
