"""One trial: where it stands, what to do next, its runs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links, texts
from dashboard.access import require_editor, viewer
from dashboard.components import aria, cautions, problem, tile, tiles
from dashboard.pages import next_more, next_step, plan_run
from dashboard.pages.runs_table import runs_table
from dashboard.show import Show
from dashboard.texts import hand_over as hand_over_texts
from dashboard.texts import look as look_texts
from dashboard.texts import next_more as more_texts
from dashboard.texts import share as share_texts
from trials.errors import HolewiseError
from trials.model import NO_CURRENCY, Run, Trial

if TYPE_CHECKING:
    from trials.figures import Convergence
    from trials.workbench import Workbench


def layout(workbench: Workbench, show: Show, name: str) -> tuple[Component, str]:
    """The page; the suggestion is worked out after it stands, because that can take a second."""
    trial = workbench.trial(name)
    runs = workbench.runs(name)
    costs = workbench.convergence(name, ahead=False)
    parts: list[Component] = [
        dcc.Store(id=ids.TRIAL, data=name),
        title(trial, show, here="trial"),
        html.Section(
            [
                html.H2(texts.TRIAL_STANDS, className="read-aloud"),
                _standing(trial, runs, costs, show),
            ]
        ),
        html.Div(
            [
                html.Section(
                    [
                        html.H2(texts.NEXT_TITLE),
                        drill_choice(trial, ids.NEXT_DRILL),
                        html.Div(
                            html.P(texts.NEXT_WORKING, className="working"),
                            id=ids.NEXT_STEP,
                            **aria(live="polite"),
                        ),
                    ],
                    className="next",
                ),
                cautions(),
            ],
            className="beside",
        ),
        html.Div(
            html.P(more_texts.WORKING, className="working"), id=ids.NEXT_MORE, className="next-more"
        ),
        html.Div(plan_run.section(trial, runs, show)),
        html.Section(
            [html.H2(texts.RUNS_TITLE), html.Div(runs_table(trial, runs, costs, show), id=ids.RUNS)]
        ),
    ]
    return html.Article(parts), trial.name


def title(trial: Trial, show: Show, *, here: str) -> Component:
    """Name of the trial, what it is about, and the way to its other pages."""
    hole = texts.HOLE.format(
        diameter=show.length(trial.hole.diameter_mm),
        depth=show.length(trial.hole.depth_mm),
        kind=texts.THROUGH if trial.hole.through else texts.BLIND,
    )
    about = " · ".join((f"{trial.work.material} ({trial.work.group})", hole, trial.machine.name))
    priced = () if viewer().sees_prices else ("progress", "compare", "share")
    pages = (
        ("trial", texts.TRIAL_OVERVIEW, links.trial(trial.name)),
        ("live", texts.TRIAL_LIVE, links.live(trial.name)),
        ("look", look_texts.NAV, links.look(trial.name)),
        ("holes", texts.TRIAL_HOLES, links.holes(trial.name)),
        ("wear", texts.TRIAL_WEAR, links.wear(trial.name)),
        ("progress", texts.TRIAL_PROGRESS, links.progress(trial.name)),
        ("compare", texts.TRIAL_COMPARE, links.compare(trial.name)),
        ("hand-over", hand_over_texts.NAV, links.hand_over(trial.name)),
        ("share", share_texts.NAV, links.share(trial.name)),
    )
    return html.Div(
        [
            html.Div(
                [
                    html.Div(
                        [html.H1(trial.name), _invented(trial), _priceless(trial)],
                        className="named",
                    ),
                    html.P(about, className="about"),
                ]
            ),
            html.Nav(
                [
                    html.Span(text, className="way here", **aria(current="page"))
                    if key == here
                    else dcc.Link(text, href=address, className="way")
                    for key, text, address in pages
                    if key not in priced
                ],
                className="ways",
                **aria(label=trial.name),
            ),
        ],
        className="title",
    )


def _priceless(trial: Trial) -> Component | None:
    if trial.economics.currency != NO_CURRENCY:
        return None
    return html.Span(share_texts.NO_PRICES, className="badge", title=share_texts.NO_PRICES_LONG)


def _invented(trial: Trial) -> Component | None:
    if not trial.invented:
        return None
    return html.Span(texts.INVENTED, className="badge", title=texts.INVENTED_LONG)


def register(app: Dash, workbench: Workbench) -> None:
    """What to do next: worked out after the page stands; accepted by a click."""
    next_more.register(app, workbench)

    plan_run.register(app, workbench)

    @app.callback(
        Output(ids.NEXT_STEP, "children"),
        Input(ids.TRIAL, "data"),
        Input(ids.NEXT_DRILL, "value"),
        State(ids.VIEW, "data"),
    )
    def show_next_step(name: str, drill: str, view: dict[str, Any]) -> Component:
        try:
            return next_step.next_step(workbench, Show.from_view(view), name, drill)
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.NEXT_STEP, "children", allow_duplicate=True),
        Output(ids.RUNS, "children"),
        Input(ids.USE_THIS, "n_clicks"),
        State(ids.TRIAL, "data"),
        State(ids.NEXT_DRILL, "value"),
        State(ids.SUGGESTION_SHOWN, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.USE_THIS, "disabled"), True, False)],
    )
    def use_this(
        clicks: int | None, name: str, drill: str, shown: dict[str, Any], view: dict[str, Any]
    ) -> tuple[Any, Any]:
        require_editor()
        if not clicks:
            return no_update, no_update
        show = Show.from_view(view)
        said: list[Component] = []
        try:
            if not next_step.accept(workbench, name, drill, shown):
                said.append(problem(texts.USE_THIS_CHANGED))
        except HolewiseError as error:
            said.append(problem(error))
        try:
            said.append(next_step.next_step(workbench, show, name, drill))
            trial, runs = workbench.trial(name), workbench.runs(name)
            table = runs_table(trial, runs, workbench.convergence(name, ahead=False), show)
        except HolewiseError as error:
            return [*said, problem(error)], no_update
        return said, table


def _standing(trial: Trial, runs: list[Run], costs: Convergence, show: Show) -> Component:
    best = costs.best_run
    ended = sum(run.state == "ended" for run in runs)
    job = (
        texts.TRIAL_TILE_JOB_OPEN
        if trial.holes_to_make is None
        else texts.TRIAL_TILE_JOB.format(holes=show.count(trial.holes_to_make))
    )
    money = [
        tile(
            texts.TRIAL_TILE_BEST,
            texts.NOT_KNOWN_YET if best is None else show.money(best.cost, costs.currency),
            "" if best is None else texts.TRIAL_TILE_BEST_RUN.format(number=best.number),
            kind="unknown" if best is None else "",
        )
    ]
    return tiles(
        [
            *(money if viewer().sees_prices else []),
            tile(
                texts.TRIAL_TILE_RUNS,
                texts.TRIALS_RUNS.format(ended=show.count(ended), runs=show.count(len(runs))),
                job,
            ),
            tile(
                texts.TRIAL_TILE_HOLES,
                show.count(sum(run.holes for run in runs)),
                texts.TRIAL_TILE_HOLES_NOTE,
            ),
            tile(
                texts.TRIAL_TILE_LIMIT,
                show.pct(trial.load_limit_pct),
                texts.TRIAL_TILE_LIMITS_NOTE.format(
                    wear=show.length(trial.wear_limit_mm),
                    holes=show.count(trial.max_test_holes),
                ),
            ),
        ]
    )


def drill_choice(trial: Trial, ident: str) -> Component:
    """Which drill is meant; hidden when there is only one."""
    return html.Div(
        [
            html.Span(texts.DRILL, className="label", id=f"{ident}-label"),
            dcc.RadioItems(
                [{"label": drill.name, "value": drill.name} for drill in trial.drills],
                trial.drills[0].name,
                id=ident,
                inline=True,
                className="choice",
            ),
        ],
        hidden=len(trial.drills) == 1,
        role="group",
        **aria(labelledby=f"{ident}-label"),
    )
