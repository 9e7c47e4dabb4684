"""A sheet of earlier runs that was uploaded: columns by choice, rows as what they become."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids, links
from dashboard.components import problem, table
from dashboard.show import NOTHING, Show
from dashboard.texts import start as start_texts
from dashboard.texts import take_in as texts
from trials.errors import InputError

if TYPE_CHECKING:
    from trials.workbench import RunsPreview, SheetChoices, Workbench

_SHOWN = 40
_UNUSED = "-"


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person chose for a sheet."""

    path: Path
    trial: str
    choices: SheetChoices
    skip_refused: bool


def found(workbench: Workbench, token: str, show: Show) -> list[Component]:
    """How it was read, a choice for each column, and what its rows become."""
    from trials.workbench import SheetChoices

    trials = [one.name for one in workbench.trials()]
    if not trials:
        return [
            html.Section(
                [html.P(texts.NO_TRIAL),
                 html.P(dcc.Link(start_texts.TITLE, href=links.start(), className="button main"))],
                className="card",
            )
        ]  # fmt: skip
    path = workbench.held_file(token)
    shown = workbench.preview_runs(path, trials[0])
    sheet = shown.found.sheet
    first, blocked = rows(workbench, Asked(path, trials[0], SheetChoices(), False), show)
    return [
        html.Section(
            [
                html.H2(sheet.name),
                html.P(
                    texts.READ.format(how=sheet.how, mark=texts.MARKS[shown.found.decimal]),
                    className="aside",
                ),
                _field(texts.TRIAL, dcc.Dropdown(
                    trials, trials[0], id=ids.IN_TRIAL, clearable=False, className="drop",
                )),
                html.H3(texts.COLUMNS),
                html.P(texts.COLUMNS_HELP, className="aside"),
                _columns(shown),
                html.Details(
                    [html.Summary(texts.OPTIONS), html.Div(_options(), className="fields")]
                ),
            ],
            className="card",
        ),
        html.Section(
            [
                html.H2(texts.ROWS),
                html.Div(first, id=ids.IN_ROWS),
                html.Div(
                    html.Button(texts.IMPORT_RUNS, id=ids.IN_RUNS, n_clicks=0, type="button",
                                className="button main", disabled=blocked),
                    className="moves",
                ),
            ],
            className="card",
        ),
    ]  # fmt: skip


def _field(label: str, control: Component) -> Component:
    return html.Label([html.Span(label), control], className="field")


def _columns(shown: RunsPreview) -> Component:
    from trials.workbench import SHEET_FIELDS

    options = [{"label": texts.NOT_USED, "value": _UNUSED}] + [
        {"label": one.means, "value": name} for name, one in SHEET_FIELDS.items()
    ]
    lines = [
        (
            one.header or texts.NO_NAME.format(number=one.number),
            dcc.Dropdown(
                options, one.field or _UNUSED, clearable=False, className="drop",
                id={"type": ids.IN_COLUMN, "place": one.number},
            ),
            one.remark or one.unit or NOTHING,
            texts.SURE[one.sure] if one.field else NOTHING,
        )
        for one in shown.found.columns
    ]  # fmt: skip
    return table(texts.COLUMN_HEAD, lines, caption=texts.COLUMNS)


def _options() -> list[Component]:
    return [
        html.Fieldset(
            [
                html.Legend(label),
                dcc.RadioItems(
                    [{"label": said, "value": key}
                     for key, said in texts.OPTION_CHOICES[name].items()],
                    next(iter(texts.OPTION_CHOICES[name])),
                    id={"type": ids.IN_OPTION, "name": name}, className="choice",
                ),
            ]
        )
        for name, label in texts.OPTION_LABELS.items()
    ]  # fmt: skip


def asked(
    workbench: Workbench, token: Any, trial: Any, columns: Sequence[Any], places: Any,
    options: Sequence[Any], names: Any,
) -> Asked:  # fmt: skip
    """What was chosen; a column that is left as it was found stays found.

    Raises:
        InputError: not what the page offers.
    """
    from trials.workbench import SheetChoices

    if not isinstance(token, str) or not isinstance(trial, str):
        raise InputError(texts.UNREADABLE)
    path = workbench.held_file(token)
    chosen: dict[str, str] = {}
    for ident, value in zip(names, options, strict=True):
        known = texts.OPTION_CHOICES.get(str(ident.get("name")), {})
        if value not in known:
            raise InputError(texts.OPTIONS, got=value, allowed=", ".join(known.values()))
        chosen[ident["name"]] = value
    inch = {"": None, "no": False, "yes": True}[chosen.get("inch", "")]
    usual: Any = SheetChoices(
        {}, chosen.get("decimal") or None, inch, chosen.get("days") or None,  # type: ignore[arg-type]  # looked at above
        chosen.get("end") or "stopped", chosen.get("new_drills") or None,  # type: ignore[arg-type]  # as well
    )  # fmt: skip
    found = workbench.preview_runs(path, trial, choices=usual).found
    by_itself = {one.number: one.field or _UNUSED for one in found.columns}
    said = {
        str(ident["place"]): str(value)
        for ident, value in zip(places, columns, strict=True)
        if value != by_itself.get(ident["place"])
    }
    return Asked(path, trial, _with(usual, said), chosen.get("refused") == "skip")


def _with(usual: SheetChoices, said: Mapping[str, str]) -> SheetChoices:
    return replace(usual, columns=said)


def rows(workbench: Workbench, asked: Asked, show: Show) -> tuple[list[Component], bool]:
    """What the rows become, and whether storing them is blocked."""
    shown = workbench.preview_runs(asked.path, asked.trial, choices=asked.choices)
    sheet = shown.found
    if sheet.problem is not None:
        return [problem(sheet.problem)], True
    diameter = workbench.trial(asked.trial).hole.diameter_mm
    lines = [
        (
            str(one.line), str(one.run.number), one.run.drill,
            show.cutting_data(one.run.cutting_data, diameter), show.count(one.run.holes),
            str(one.run.end).replace("_", " "),
            show.length(one.run.wear[-1].largest_mm) if one.run.wear else NOTHING,
            NOTHING if one.day is None else f"{one.day:%Y-%m-%d}",
        )
        for one in shown.new[:_SHOWN]
    ]  # fmt: skip
    count = texts.ROWS_COUNT.format(new=len(shown.new), here=shown.here, refused=len(sheet.refused))
    parts: list[Component] = [html.P(count, className="sentence")]
    parts += [html.P(text, className="aside") for text in sheet.remarks]
    parts += [
        html.P(texts.NEW_DRILL.format(name=one.name, substrate=one.substrate))
        for one in sheet.drills
    ]
    if sheet.refused:
        refused = [html.Li(show.sentence(str(one.why))) for one in sheet.refused[:_SHOWN]]
        if not asked.skip_refused:
            parts.append(html.P(texts.ROWS_REFUSED))
        parts += [html.H3(texts.REFUSED), html.Ul(refused, className="refused")]
        if len(sheet.refused) > _SHOWN:
            parts.append(html.P(texts.ROWS_MORE.format(count=len(sheet.refused) - _SHOWN)))
    if lines:
        parts.append(table(texts.ROWS_HEAD, lines, caption=texts.ROWS,
                           numbers=("line", "run", "holes")))  # fmt: skip
    if len(shown.new) > _SHOWN:
        parts.append(html.P(texts.ROWS_MORE.format(count=len(shown.new) - _SHOWN)))
    return parts, not shown.new or (bool(sheet.refused) and not asked.skip_refused)
