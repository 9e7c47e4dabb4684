"""How every figure looks: colours for light and dark, marks for the ends of runs, a bare layout.

Colours are chosen so that each line and mark keeps a contrast of at least 3:1 on its paper (WCAG
2.2, 1.4.11) and every text at least 4.5:1 (1.4.3); a test computes both. Colour is never alone:
every end has a shape of its own, and a sign of the same shape for texts and tables.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import plotly.graph_objects as go

from trials.model import End

DecimalMark = Literal[".", ","]


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours of one scheme; ``paper`` is what lies behind the figure."""

    paper: str
    ink: str
    muted: str
    grid: str
    accent: str
    band: str
    good: str
    warn: str
    bad: str


LIGHT = Palette(
    paper="#ffffff", ink="#12181d", muted="#47535e", grid="#d9dfe4", accent="#0b57a4",
    band="rgba(11,87,164,0.14)", good="#1a6a3b", warn="#8f5600", bad="#b3201b",
)  # fmt: skip
DARK = Palette(
    paper="#171d23", ink="#f2f5f7", muted="#b6c1ca", grid="#37424c", accent="#86bdff",
    band="rgba(134,189,255,0.20)", good="#7fd79d", warn="#ffc468", bad="#ff938a",
)  # fmt: skip


def palette(dark: bool) -> Palette:
    """The colours of the scheme that is asked for."""
    return DARK if dark else LIGHT


@dataclass(frozen=True, slots=True)
class EndMark:
    """How an end of run is marked: a sign in texts, a shape in figures, a role for the colour."""

    sign: str
    shape: str
    role: Literal["ink", "muted", "accent", "good", "warn", "bad"]
    word: str


END_MARKS: dict[End, EndMark] = {
    "worn": EndMark("●", "circle", "accent", "worn"),
    "stopped": EndMark("○", "circle-open", "accent", "stopped early"),
    "chipped": EndMark("◆", "diamond", "warn", "chipped"),
    "broken": EndMark("✕", "x", "bad", "broken"),
    "out_of_tolerance": EndMark("▲", "triangle-up", "warn", "out of tolerance"),
    "load_limit": EndMark("■", "square", "bad", "load limit reached"),
}
NOT_ENDED = EndMark("□", "square-open", "muted", "not ended")


def end_mark(end: End | None) -> EndMark:
    """The mark of an end; runs that have not ended have one too."""
    return NOT_ENDED if end is None else END_MARKS[end]


def as_text(text: str) -> str:
    """Make a text that people wrote safe for a drawing, which reads ``<b>`` and ``&`` as markup."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def bare_figure(dark: bool, decimal: DecimalMark = ".") -> go.Figure:
    """An empty figure in our own look: no template, transparent ground, thin grid, large type."""
    colours = palette(dark)
    axis: dict[str, Any] = {
        "color": colours.muted, "gridcolor": colours.grid, "linecolor": colours.muted,
        "showline": True, "zeroline": False, "ticks": "outside", "tickcolor": colours.muted,
        "automargin": True, "title": {"standoff": 10},
    }  # fmt: skip
    return go.Figure(
        layout={
            "template": "none",
            "paper_bgcolor": "rgba(0,0,0,0)",
            "plot_bgcolor": "rgba(0,0,0,0)",
            "font": {
                "family": "system-ui, 'Segoe UI', Roboto, 'Liberation Sans', sans-serif",
                "size": 14,
                "color": colours.ink,
            },
            "margin": {"l": 8, "r": 12, "t": 12, "b": 8},
            "xaxis": axis,
            "yaxis": axis,
            "separators": "," + "\u202f" if decimal == "," else ".,",
            "hoverlabel": {
                "bgcolor": colours.paper,
                "bordercolor": colours.muted,
                "font": {"color": colours.ink, "size": 14},
            },
            "legend": {"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0},
            "dragmode": False,
        }
    )


def draw_limit(figure: go.Figure, value: float, text: str, dark: bool) -> None:
    """Draw a limit that must not be passed as a dashed line across the figure, named at its left.

    Args:
        figure: changed in place.
        value: where the limit lies on the vertical axis.
        text: its name, value and unit.
        dark: for a dark screen.
    """
    bad = palette(dark).bad
    figure.add_hline(
        y=value,
        line={"color": bad, "width": 2.5, "dash": "dash"},
        annotation={"text": text, "font": {"color": bad}, "xanchor": "left", "x": 0.01},
    )
