"""What a hole is paid for: the parts of the cost of each drill, stacked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from trials.economics import CostRange
from trials.errors import require
from trials.figures.style import DecimalMark, as_text, bare_figure, palette

PART_NAMES = {
    "machine": "machine time",
    "drill": "drill and regrinds",
    "change": "changing",
    "inspection": "looking at the drill",
    "coolant": "coolant",
    "breakage": "breakage",
    "scrap": "scrap",
}
# Seven fills that stay apart in light and in dark, also by lightness and by pattern.
_FILLS = {
    "machine": ("accent", ""), "drill": ("good", ""), "change": ("muted", ""),
    "inspection": ("accent", "/"), "coolant": ("good", "\\"), "breakage": ("bad", ""),
    "scrap": ("warn", "x"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class DrillBar:
    """One drill: parts that add up to ``total``, and the 90 % interval; all money a hole.

    ``shown`` are the parts rounded so that they add up as they are shown, to three decimals below
    1 and to two above.
    """

    drill: str
    parts: dict[str, float]
    total: float
    low: float
    high: float
    shown: dict[str, float]

    def __post_init__(self) -> None:
        require(abs(sum(self.parts.values()) - self.total) <= 1e-9 * max(1.0, self.total),
                f"parts of the cost of {self.drill}", f"{sum(self.parts.values()):g}",
                f"together the total, {self.total:g}")  # fmt: skip


@dataclass(frozen=True, slots=True)
class CostBreakdown:
    """Every drill with a cost, and the verdicts of the others."""

    bars: tuple[DrillBar, ...]
    without: tuple[str, ...]
    currency: str

    @property
    def used(self) -> tuple[str, ...]:
        """Parts that are more than nothing somewhere, in their order."""
        return tuple(name for name in PART_NAMES if any(bar.parts[name] > 0 for bar in self.bars))


def cost_breakdown(costs: Sequence[tuple[str, CostRange]], currency: str) -> CostBreakdown:
    """Take what has a cost, the cheapest first."""
    bars = [
        DrillBar(
            drill,
            found.cost.parts,
            found.cost.total,
            found.low or 0.0,
            found.high or 0.0,
            found.cost.shown_parts(3 if found.cost.total < 1 else 2),
        )
        for drill, found in costs
        if found.cost is not None
    ]
    return CostBreakdown(
        tuple(sorted(bars, key=lambda bar: bar.total)),
        tuple(found.verdict for _, found in costs if found.cost is None),
        currency,
    )


def draw_cost_breakdown(
    data: CostBreakdown, dark: bool = False, *, decimal: DecimalMark = "."
) -> go.Figure:
    """Bars side by side, cheapest on top, each with its interval at the end."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    names = [as_text(bar.drill) for bar in data.bars]
    for part in data.used:
        role, pattern = _FILLS[part]
        figure.add_trace(
            go.Bar(
                y=names, x=[bar.parts[part] for bar in data.bars], orientation="h",
                name=PART_NAMES[part], width=0.5,
                marker={"color": getattr(colours, role),
                        "line": {"color": colours.paper, "width": 1},
                        "pattern": {"shape": pattern, "fgcolor": colours.paper, "size": 7,
                                    "fillmode": "overlay", "solidity": 0.3}},
                hovertemplate=f"{PART_NAMES[part]}: %{{x:.3f}} {data.currency}<extra></extra>",
            )
        )  # fmt: skip
    figure.add_trace(
        go.Scatter(
            y=names, x=[bar.total for bar in data.bars], mode="markers", name="90 % interval",
            marker={"color": colours.ink, "size": 7},
            error_x={"type": "data", "symmetric": False, "color": colours.ink, "thickness": 2,
                     "width": 8, "array": [bar.high - bar.total for bar in data.bars],
                     "arrayminus": [bar.total - bar.low for bar in data.bars]},
            hovertemplate=f"%{{x:.3f}} {data.currency}<extra></extra>",
        )
    )  # fmt: skip
    figure.update_layout(barmode="stack")
    figure.update_xaxes(title_text=f"cost per hole, {data.currency}", rangemode="tozero")
    figure.update_yaxes(autorange="reversed", showgrid=False, ticks="")
    return figure
