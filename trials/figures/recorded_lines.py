"""Lines that recordings at work have read: those that were understood, and those that were not."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from trials.errors import require
from trials.figures.style import DecimalMark, as_text, bare_figure, palette


@dataclass(frozen=True, slots=True)
class RecordedLines:
    """One bar for each recording.

    Args:
        names: of the recordings.
        understood, rejected: lines so far, as many values as names.
    """

    names: tuple[str, ...]
    understood: tuple[int, ...]
    rejected: tuple[int, ...]

    def __post_init__(self) -> None:
        require(len(self.names) == len(self.understood) == len(self.rejected),
                "bars of the recorded lines",
                f"{len(self.names)}, {len(self.understood)} and {len(self.rejected)}",
                "as many names as values")  # fmt: skip


def draw_recorded_lines(
    data: RecordedLines, dark: bool = False, *, decimal: DecimalMark = "."
) -> go.Figure:
    """Bars side by side: understood plain, rejected hatched, so that colour is never alone."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    names = [as_text(name) for name in data.names]
    for label, values, colour, pattern in (
        ("understood", data.understood, colours.accent, ""),
        ("rejected", data.rejected, colours.bad, "/"),
    ):
        figure.add_bar(
            y=names, x=list(values), name=label, orientation="h",
            marker={"color": colour, "pattern": {"shape": pattern}},
        )  # fmt: skip
    figure.update_layout(barmode="stack", showlegend=True, legend={"orientation": "h", "y": 1.15})
    figure.update_xaxes(title="lines", rangemode="tozero")
    figure.update_yaxes(automargin=True)
    return figure
