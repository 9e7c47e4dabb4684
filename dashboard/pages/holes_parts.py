"""What the page of holes is made of: sentence, tiles, tables; and where to go next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.components import SILENT, Cell, aria, figure, table, tile, tiles
from dashboard.show import NOTHING, Show
from trials.figures import RunTrend, TraceOverlay, draw_run_trend, run_trend

if TYPE_CHECKING:
    from trials.workbench import EditShown, Workbench

_ROWS = 9
_SWAP = str.maketrans(",.", "\u202f,")
_LEAST_MARGIN_S = 1.0


@dataclass(frozen=True, slots=True)
class At:
    """What the page shows: run, chosen hole, stretch of the trace; kept in the browser.

    Args:
        trial, run: which run; version: of the run when it was read, to notice other people's edits.
        hole: number of the chosen hole; None when the run has none.
        start_s, end_s: the stretch.
        change: counts edits made on this page, so that it is drawn again after each.
    """

    trial: str
    run: int
    version: int
    hole: int | None
    start_s: float
    end_s: float
    change: int = 0

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> At:
        """The way back from the browser."""
        return cls(**{name: plain.get(name) for name in cls.__slots__})  # type: ignore[arg-type]  # written by us

    def plain(self) -> dict[str, Any]:
        """For the browser."""
        return {name: getattr(self, name) for name in self.__slots__}


def around(holes: pd.DataFrame, number: int) -> tuple[float, float]:
    """The stretch that shows one hole with idle on both sides, and a bit of its neighbours."""
    hole = holes.iloc[number - 1]
    start_s, end_s = float(hole["start_s"]), float(hole["end_s"])
    margin_s = max(_LEAST_MARGIN_S, end_s - start_s)
    return start_s - margin_s, end_s + margin_s


def doubtful(workbench: Workbench, at: At, holes: pd.DataFrame) -> list[int]:
    """Numbers of the holes that a person should look at."""
    return workbench.holes_to_look_at(at.trial, at.run) if len(holes) else []


def legend() -> Component:
    """What the lines mean, with the same strokes."""
    parts = (
        ("box", texts.HOLES_KEY_HOLE),
        ("doubt", texts.HOLES_KEY_LOOK),
        ("idle", texts.HOLES_KEY_IDLE),
        ("peck", texts.HOLES_KEY_PECK),
    )
    return html.Ul(
        [html.Li(html.Span([html.Span(className=f"key {kind}"), text])) for kind, text in parts],
        className="legend holes-legend",
    )


def sentence(data: TraceOverlay, show: Show) -> str:
    """What the figure shows, in words."""
    numbers = [one.hole.number for one in data.holes]
    if not numbers:
        holes = texts.HOLES_SHOWN_NONE
    elif len(numbers) == 1:
        holes = texts.HOLES_SHOWN_ONE.format(first=show.count(numbers[0]))
    else:
        holes = texts.HOLES_SHOWN_SOME.format(
            first=show.count(numbers[0]), last=show.count(numbers[-1])
        )
    said = [
        texts.HOLES_SHOWN.format(
            start=time_s(data.start_s, show), end=time_s(data.end_s, show), holes=holes,
            high=show.pct(data.highest_pct), limit=show.pct(data.limit_pct),
        )
    ]  # fmt: skip
    if data.crowded:
        said.append(texts.HOLES_SHOWN_CROWDED)
    look = [show.count(one.hole.number) for one in data.doubtful]
    if look:
        said.append(
            texts.HOLES_SHOWN_LOOK.format(
                holes=", ".join(look[:8]) + (", …" if len(look) > 8 else "")
            )
        )
    said += [
        texts.HOLES_SHOWN_GAP.format(length=show.seconds(end - start), reason=reason)
        for start, end, reason in data.gaps[:3]
    ]
    if data.thinned:
        said.append(
            texts.HOLES_SHOWN_THIN.format(
                samples=show.count(data.samples), points=show.count(len(data.time_s))
            )
        )
    return " ".join(said)


def time_s(value: float, show: Show) -> str:
    """A time of the trace, to a tenth of a second."""
    text = texts.HOLES_TIME.format(value=f"{value:z,.1f}").replace(" ", "\u00a0")
    return text.translate(_SWAP) if show.decimal == "," else text


def typed_s(value: float, show: Show) -> str:
    """A time of the trace as a person would type it, to a hundredth of a second."""
    return f"{value:z.2f}".replace(".", show.decimal)


def facts(holes: pd.DataFrame, data: TraceOverlay, at: At, show: Show) -> Component:
    """The chosen hole in figures, and why to look at it."""
    if at.hole is None or at.hole > len(holes):
        return html.P(texts.HOLES_SHOWN_NONE, className="aside")
    hole = holes.iloc[at.hole - 1]
    why = next((one.look for one in data.holes if one.hole.number == at.hole), "")
    parts = [
        tile(
            texts.HOLES_TILE_HOLE,
            show.count(at.hole),
            texts.HOLES_TILE_OF.format(
                holes=show.count(len(holes)), start=time_s(hole["start_s"], show)
            ),
        ),
        tile(
            texts.HOLES_TILE_PEAK,
            show.pct(hole["peak_pct"]),
            texts.HOLES_TILE_PEAK_NOTE.format(
                mean=show.pct(hole["mean_pct"]), idle=show.pct(hole["idle_pct"])
            ),
        ),
        tile(
            texts.HOLES_TILE_CUT,
            show.seconds(hole["cut_s"]),
            texts.HOLES_TILE_PECKS.format(pecks=show.count(hole["pecks"])),
        ),
        tile(texts.HOLES_TILE_SURE, show.pct(100 * hole["confidence"]), str(hole["flags"])),
    ]
    look = html.P(texts.HOLES_LOOK_WHY.format(why=why), className="look-why") if why else None
    return html.Div([tiles(parts, kind="small"), look])


def holes_table(holes: pd.DataFrame, at: At, show: Show) -> Component:
    """The holes around the chosen one; the number chooses."""
    if not len(holes):
        return html.P(texts.HOLES_SHOWN_NONE, className="aside")
    first = min(max(0, (at.hole or 1) - 1 - _ROWS // 2), max(0, len(holes) - _ROWS))
    rows: list[list[Cell]] = []
    for row in holes.iloc[first : first + _ROWS].to_dict("records"):
        number = int(row["number"])
        button = html.Button(
            show.count(number),
            id={"type": ids.HOLES_ROW, "number": number},
            type="button",
            n_clicks=0,
            className="row-button",
            **aria(
                label=texts.HOLES_CHOOSE.format(number=number),
                pressed=str(number == at.hole).lower(),
            ),
        )
        rows.append(
            [
                button, show.pct(row["peak_pct"]), show.seconds(row["cut_s"]),
                show.count(row["pecks"]), str(row["flags"]),
            ]
        )  # fmt: skip
    return table(
        texts.HOLES_COLUMNS, rows, caption=texts.HOLES_TABLE,
        numbers=("peak", "cut", "pecks"), folds=False,
    )  # fmt: skip


def edits_list(edits: Sequence[EditShown]) -> Component:
    """What was mended, the newest first."""
    if not edits:
        return html.P(texts.HOLES_EDITS_NONE, className="aside")
    rows: list[list[Cell]] = []
    for edit in reversed(edits):
        if edit.undone_utc is not None:
            undone = texts.HOLES_EDIT_UNDONE_BY if edit.undone_by else texts.HOLES_EDIT_UNDONE
            now = undone.format(who=edit.undone_by)
        elif edit.not_kept:
            now = texts.HOLES_EDIT_NOT_KEPT.format(reason=edit.not_kept)
        else:
            now = texts.HOLES_EDIT_HOLDS
        rows.append(
            [str(edit.number), edit.text, edit.made_by, f"{edit.made_utc:%Y-%m-%d %H:%M}", now]
        )
    return table(texts.HOLES_EDITS_COLUMNS, rows, caption=texts.HOLES_EDITS, numbers=("number",))


def trends(workbench: Workbench, name: str, run: int, show: Show) -> Component:
    """Whether each feature goes steadily, as a sentence, a figure and a table."""
    found, holes, trial = (
        workbench.trends(name, run),
        workbench.holes(name, run),
        workbench.trial(name),
    )
    rows: list[list[Cell]] = []
    for trend in found:
        change = trend.newest
        if change is None:
            steady = trend.verdict != "too few holes"
            verdict = trend.verdict if steady else texts.HOLES_TOO_FEW.format(holes=trend.holes)
            slope = trend.slope_pct_per_100
            rows.append([
                texts.HOLES_FEATURES[trend.feature], verdict, NOTHING,
                NOTHING if slope is None
                else texts.HOLES_STEADY_SLOPE.format(slope=_signed(slope, show)),
                NOTHING,
            ])  # fmt: skip
            continue
        since = texts.HOLES_SINCE.format(
            hole=show.count(change.since_hole), low=show.count(change.since_low),
            high=show.count(change.since_high),
        )  # fmt: skip
        rows.append([
            texts.HOLES_FEATURES[trend.feature],
            html.Span([html.Span("▲ ", className="sign", **SILENT), trend.verdict],
                      className="end warn"),
            since, _signed(change.change_pct, show), show.share(change.sure),
        ])  # fmt: skip
    peaks = run_trend(
        [int(number) for number in holes["number"]], [float(peak) for peak in holes["peak_pct"]],
        limit_pct=trial.load_limit_pct, run=run,
    ) if len(holes) else RunTrend((), (), trial.load_limit_pct, run)  # fmt: skip
    since_hole = next((one.since_hole for one in found if one.feature == "peak_pct"), None)
    return html.Div(
        [
            figure(
                draw_run_trend(peaks, show.dark, decimal=show.decimal, since_hole=since_hole),
                title=texts.HOLES_PEAKS, sentence=_trend_sentence(found, show),
                ident=ids.HOLES_PEAKS, size="small",
            ),
            table(texts.HOLES_TRENDS_COLUMNS, rows, caption=texts.HOLES_TRENDS,
                  numbers=("change", "sure")),
        ],
        className="trends",
    )  # fmt: skip


def _trend_sentence(found: Sequence[Any], show: Show) -> str:
    changed = [trend for trend in found if trend.newest is not None]
    if changed:
        newest = max(changed, key=lambda trend: trend.since_hole)
        return texts.HOLES_CHANGED.format(
            feature=texts.HOLES_FEATURES[newest.feature], verdict=newest.verdict,
            hole=show.count(newest.since_hole),
        )  # fmt: skip
    few = all(trend.verdict == "too few holes" for trend in found)
    return texts.HOLES_ALL_TOO_FEW if few else texts.HOLES_ALL_STEADY


def _signed(value_pct: float, show: Show) -> str:
    rounded = round(value_pct)
    return f"{'+' if rounded > 0 else '−' if rounded < 0 else ''}{show.pct(abs(rounded))}"
