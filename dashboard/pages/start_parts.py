"""Parts of the guided page: fields, verdicts, costs, first cutting data and plan."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import SILENT, Cell, aria, figure, table, tile, tiles
from dashboard.pages import start_fields as fields
from dashboard.pages.next_step import settings
from dashboard.pages.start_fields import Field
from dashboard.show import Show
from dashboard.texts import start as texts
from trials import units
from trials.figures import draw_grid, draw_run_size

if TYPE_CHECKING:
    from trials.workbench import BeforeTest, Beginning, Candidate, Workbench

_KEPT: dict[str, Any] = {"persistence": True, "persistence_type": "session"}


def system(chosen: str | None) -> units.UnitSystem:
    """The unit system of the page's own choice."""
    return "inch" if chosen == "inch" else "metric"


def units_choice(begins: units.UnitSystem) -> Component:
    """What bare numbers are in: a choice of this page alone, so that no number changes unseen.

    It begins as the reader sees values. After that the switch of the head changes how values are
    shown, never how typed ones are read.
    """
    choice = dcc.RadioItems(
        [{"label": texts.UNITS_METRIC, "value": "metric"},
         {"label": texts.UNITS_INCH, "value": "inch"}],
        begins, id=ids.START_UNITS, inline=True, className="choice", persistence=True,
        persistence_type="local",
    )  # fmt: skip
    return html.Div(
        [html.Span(texts.UNITS_LABEL, className="label", id=f"{ids.START_UNITS}-label"), choice,
         html.P(texts.UNITS_HELP, className="aside")],
        role="group", **aria(labelledby=f"{ids.START_UNITS}-label"),
    )  # fmt: skip


def progress(step: int) -> Component:
    """Which steps there are, and at which one the reader is."""
    return html.Ol(
        [
            html.Li(name, className="here" if at == step else "done" if at < step else "",
                    **(aria(current="step") if at == step else {}))
            for at, name in enumerate(texts.STEPS)
        ],
        className="start-steps",
    )  # fmt: skip


def rows(shown: Sequence[Field]) -> list[Component]:
    """A label, a place to type or choose, and a note below."""
    return [_row(field) for field in shown]


def _row(field: Field) -> Component:
    ident = {"type": ids.START_FIELD, "name": field.name}
    note = html.Div(field.hint, id={"type": ids.START_NOTE, "name": field.name}, className="note")
    label = [field.label, html.Span(f" ({texts.NEEDED})") if field.needed else ""]
    if field.choices is not None:
        choice = dcc.RadioItems(
            [{"label": word, "value": key} for key, word in field.choices.items()], field.usual,
            id=ident, inline=True, className="choice", **_KEPT,
        )  # fmt: skip
        return html.Fieldset([html.Legend(label), choice, note], className="field wide")
    typed = dcc.Input(
        id=ident, type="text", value=field.usual, debounce=True, autoComplete="off",
        maxLength=200, **_KEPT,
    )  # fmt: skip
    return html.Div([html.Label([html.Span(label), typed]), note], className="field")


def like(workbench: Workbench) -> Component:
    """The catalogue's materials to choose from."""
    materials = [one for key, one in workbench.catalogue().materials.items() if len(key) > 1]
    field = fields.LIKE_FIELD
    choice = dcc.Dropdown(
        [{"label": f"{one.group}: {one.key}", "value": one.key} for one in materials], None,
        id={"type": ids.START_FIELD, "name": field.name}, placeholder=texts.LIKE_NONE,
        className="drop", **_KEPT,
    )  # fmt: skip
    note = html.Div(id={"type": ids.START_NOTE, "name": field.name}, className="note")
    return html.Div([html.Label([html.Span(field.label), choice]), note], className="field")


def drills() -> list[Component]:
    """Up to three candidates, and the work material of the test."""
    shown: list[Component] = []
    for number, letter in enumerate(fields.LETTERS):
        maker = html.Details(
            [html.Summary(texts.MAKER),
             html.Div(rows(fields.maker_fields(number)), className="start-fields")]
        )  # fmt: skip
        inside = [html.Div(rows(fields.drill_fields(number)), className="start-fields"), maker]
        shown.append(
            html.Div([html.H3(texts.DRILL.format(letter=letter)), *inside], className="wide")
            if number == 0
            else html.Details([html.Summary(texts.DRILL_MORE.format(letter=letter)), *inside],
                              className="wide")
        )  # fmt: skip
    shown.append(
        html.Div(
            [html.H3(texts.TEST_MATERIAL), html.Div(rows(fields.TEST), className="start-fields")],
            className="wide",
        )
    )
    return shown


def notes(names: Sequence[str], read: fields.Read) -> tuple[list[Any], list[str]]:
    """What stands below each field, and how it looks."""
    said: list[Any] = []
    looks: list[str] = []
    for name in names:
        if name in read.errors:
            said.append([html.Span("! ", **SILENT), read.errors[name]])
            looks.append("note wrong")
        else:
            said.append(read.said.get(name) or fields.FIELDS[name].hint)
            looks.append("note")
    return said, looks


def found(workbench: Workbench, show: Show, values: Mapping[str, Any]) -> list[Component]:
    """Verdicts and costs of every drill, and the choice of the one to begin with.

    Raises:
        InputError: the trial cannot be; says which part of it.
    """
    trial = workbench.draft(fields.plain_trial(values), any_start=True)
    choice = workbench.choose(trial)
    names = [candidate.screening.drill.name for candidate in choice.candidates]
    shown: list[Component] = [_candidate(one, show) for one in choice.candidates]
    if choice.before is None:
        shown.append(html.P(show.sentence(choice.without)))
    else:
        shown += _costs(workbench, choice.before, show)
    shown += [
        html.Fieldset(
            [
                html.Legend(texts.CHOOSE_DRILL),
                dcc.RadioItems(names, names[0], id=ids.START_DRILL, inline=True,
                               className="choice"),
            ],
            className="field wide",
        ),
        html.Div(texts.WORKING, id=ids.START_DATA, **aria(live="polite")),
        html.Div(id=ids.START_BEGUN, role="status"),
        dcc.Download(id=ids.START_CARD_FILE),
    ]  # fmt: skip
    return [html.Div(part, className="wide") for part in shown]


def _candidate(candidate: Candidate, show: Show) -> Component:
    screening = candidate.screening
    kind = {"fits": "good", "fits with a condition": "warn", "does not fit": "bad"}
    parts: list[Component] = [
        html.H3(
            [
                html.Span(texts.OUTCOME_SIGNS[screening.outcome], className="sign", **SILENT),
                f" {screening.drill.name}: {screening.outcome}",
            ],
            className=f"outcome {kind[screening.outcome]}",
        )
    ]
    for title, verdicts in (
        (texts.AGAINST, screening.against), (texts.CONDITIONS, screening.conditions),
    ):  # fmt: skip
        if verdicts:
            lines = [
                html.Li([html.B(f"{verdict.rule}: "), show.sentence(verdict.reason),
                         html.Span(f" ({show.sentence(verdict.value)})", className="aside")])
                for verdict in verdicts
            ]  # fmt: skip
            parts += [html.H4(title), html.Ul(lines)]
    if screening.against:
        ways = [
            html.Li(show.sentence("; and ".join(way.changes))) for way in candidate.ways_out
        ] or [html.Li(texts.NO_WAY_OUT)]
        parts += [html.H4(texts.WAYS_OUT), html.Ul(ways)]
    rows_of: list[list[Cell]] = [
        [verdict.rule,
         html.Span([html.Span(texts.OUTCOME_SIGNS[verdict.outcome], className="sign", **SILENT),
                    f" {verdict.outcome}"]),
         show.sentence(verdict.reason), show.sentence(verdict.value), show.sentence(verdict.limit),
         verdict.source]
        for verdict in screening.verdicts
    ]  # fmt: skip
    every = texts.ALL_RULES.format(drill=screening.drill.name)
    parts.append(
        html.Details([html.Summary(every), table(texts.RULE_COLUMNS, rows_of, caption=every)])
    )
    return html.Div(parts, className="candidate")


def _costs(workbench: Workbench, before: BeforeTest, show: Show) -> list[Component]:
    money = before.currency
    rows_of: list[list[Cell]] = [
        [
            one.drill,
            f"{show.count(one.life.middle)} ({show.count_span(one.life.low, one.life.high)})",
            (f"{show.money(one.per_hole[1], money)} "
            f"({show.money_span(one.per_hole[0], one.per_hole[2], money)})"),
            show.money(one.trying, money),
            "–" if one.run is None else f"{show.money(one.run[1], money)} "
            f"({show.money_span(one.run[0], one.run[2], money)})",
        ]
        for one in before.costs
    ]  # fmt: skip
    drawing = draw_run_size(workbench.before_test_figure(before), show.dark, decimal=show.decimal)
    worth: list[Component | str] = [
        html.B(texts.WORTH[before.worth]),
        " ",
        show.sentence(before.why),
    ]
    return [
        html.Div([html.H3(texts.COSTS),
                  table(texts.COST_COLUMNS, rows_of, caption=texts.COSTS),
                  html.P(worth), html.P(show.sentence(before.sure), className="aside")]),
        figure(drawing, title=texts.COST_FIGURE, sentence=show.sentence(before.advice),
               ident=ids.START_RUN_SIZE),
    ]  # fmt: skip


def beginning(
    workbench: Workbench, show: Show, values: Mapping[str, Any], drill: str | None
) -> Component:
    """First cutting data and plan of the drill chosen, and the button that begins.

    Raises:
        HolewiseError: there are no cutting data, or the plate is too small; says what would do.
    """
    trial = workbench.draft(fields.plain_trial(values, drill), any_start=True)
    found = workbench.begin(trial, drill, **fields.test_material(values))
    start, against = found.start, found.screening.against
    rules = ", ".join(verdict.rule for verdict in against)
    name = found.screening.drill.name
    parts: list[Component | None] = [
        html.H3(texts.START),
        settings(trial, start.cutting_data, show),
        html.H4(texts.REASONS),
        html.Ul([html.Li(show.sentence(reason)) for reason in start.reasons]),
        tiles(
            [
                tile(texts.EXPECT, show.pct(start.load_worn_pct), texts.EXPECT_NOTE.format(
                    fresh=show.pct(start.load_fresh_pct), limit=show.pct(trial.load_limit_pct))),
                tile(texts.THRUST, show.value(start.thrust_n, "N"), texts.THRUST_NOTE.format(
                    limit=show.value(start.thrust_limit_n, "N"))),
                tile(texts.TIME, show.seconds(start.time.total_s),
                     "" if start.time.pecks == 1
                     else texts.TIME_NOTE.format(pecks=start.time.pecks)),
            ],
            kind="small",
        ),
        html.H4(texts.BOUNDS),
        _bounds(found, show),
        *_plan(workbench, found, show),
        html.Div(
            html.Label(
                [html.Span(texts.OVERRULE_NEEDED.format(drill=name, rules=rules)),
                 html.Span(texts.OVERRULE),
                 dcc.Input(id=ids.START_OVERRULE, type="text", value="", maxLength=500)]
            ),
            className="field wide", hidden=not against,
        ),
        html.Div(
            [
                html.Button(texts.BEGIN, id=ids.START_BEGIN, n_clicks=0, type="button",
                            className="button main"),
                html.Button(texts.CARD, id=ids.START_CARD, n_clicks=0, type="button",
                            className="button"),
            ],
            className="moves",
        ),
    ]  # fmt: skip
    return html.Div(parts)


def _bounds(found: Beginning, show: Show) -> Component:
    bounds, why = found.start.bounds, found.start.bound_reasons
    rows_of: list[list[Cell]] = [
        [what, show.value(span[0], unit), show.sentence(low), show.value(span[1], unit),
         show.sentence(high)]
        for what, span, unit, low, high in (
            ("speed", bounds.speed_m_per_min, "m/min", why.speed_low, why.speed_high),
            ("feed", bounds.feed_mm_per_rev, "mm/rev", why.feed_low, why.feed_high),
        )
    ]  # fmt: skip
    return table(texts.BOUND_COLUMNS, rows_of, caption=texts.BOUNDS)


def _plan(workbench: Workbench, found: Beginning, show: Show) -> list[Component | None]:
    plan, grid = found.plan, found.grid
    shown: list[Component | None] = [
        html.H3(texts.PLAN),
        html.P(_runs(plan.runs, show.count(plan.holes_a_run))),
        html.Ul([html.Li(show.sentence(sentence)) for sentence in plan.why]),
    ]
    data = workbench.grid_figure(found)
    if data is not None and grid is not None:
        said = [
            texts.GRID_SENTENCE.format(
                holes=show.count(len(grid.holes)), runs=plan.runs, wall=show.length(grid.wall_mm),
                edge=show.length(grid.edge_mm),
            ),
            *(show.sentence(remark) for remark in grid.remarks),
        ]  # fmt: skip
        drawing = draw_grid(data, show.dark, system=show.system, decimal=show.decimal)
        tall = grid.width_mm > 0.6 * grid.length_mm
        shown.append(
            figure(drawing, title=texts.GRID, sentence=" ".join(said), ident=ids.START_GRID,
                   size="large" if tall else "medium")
        )  # fmt: skip
    return shown


def _runs(runs: int, holes: str) -> str:
    if runs == 1:
        return texts.PLAN_RUN.format(holes=holes)
    return texts.PLAN_RUNS.format(runs=runs, holes=holes)


def has_begun(name: str, address: str) -> Component:
    """The trial is stored: where to go on."""
    return html.Div(
        [
            html.P(texts.BEGUN.format(trial=name)),
            html.P(texts.BEGUN_NEXT.format(trial=shlex.quote(name))),
            dcc.Link(texts.BEGUN_OPEN, href=address, className="button main"),
        ],
        className="done",
    )
