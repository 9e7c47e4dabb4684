"""A package that was uploaded: what it would do, with both sides beside each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dash import ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import problem, table
from dashboard.show import Show
from dashboard.texts import take_in as texts
from trials.errors import InputError

if TYPE_CHECKING:
    from trials.workbench import Difference, PackagePreview, Workbench


def found(workbench: Workbench, token: str, show: Show) -> Component:
    """What taking it in would do."""
    shown = workbench.preview_package(workbench.held_file(token))
    return html.Section(
        [
            html.H2(texts.PACKAGE.format(file=shown.file)),
            *_facts(shown),
            *_sides(shown.differences),
            *_answers(shown, show),
            html.Div(
                html.Button(texts.IMPORT_PACKAGE, id=ids.IN_PACKAGE, n_clicks=0, type="button",
                            className="button main"),
                className="moves", hidden=shown.nothing_to_do,
            ),
        ],
        className="card",
    )  # fmt: skip


def _facts(shown: PackagePreview) -> list[Component]:
    said = []
    if shown.nothing_to_do:
        said.append(texts.NOTHING)
    elif shown.new_trial:
        said.append(texts.NEW_TRIAL.format(runs=shown.runs))
    else:
        new = ", ".join(map(str, shown.new_runs)) or texts.NONE
        said.append(texts.KNOWN_TRIAL.format(trial=shown.trial, new=new))
    said += [texts.RENUMBERED.format(there=there, here=here) for there, here in shown.renumbered]
    if shown.new_photos:
        said.append(texts.PHOTOS.format(count=shown.new_photos))
    if shown.removed:
        said.append(texts.LEFT_OUT.format(removed=", ".join(shown.removed)))
    said.append(texts.LICENCE.format(licence=shown.licence or texts.NO_LICENCE))
    name = html.Label(
        [html.Span(texts.NAME),
         dcc.Input(id=ids.IN_NAME, type="text", value=shown.trial, maxLength=100,
                   autoComplete="off")],
        className="field", hidden=not shown.new_trial,
    )  # fmt: skip
    return [*(html.P(one) for one in said), name]


def _sides(differences: Sequence[Difference]) -> list[Component]:
    rows = [(one.key.replace("_", " "), one.here, one.there, _side(one)) for one in differences]
    buttons = html.Div(
        [
            html.Button(texts.ALL_MINE, id=ids.IN_ALL_MINE, n_clicks=0, type="button",
                        className="button small"),
            html.Button(texts.ALL_THEIRS, id=ids.IN_ALL_THEIRS, n_clicks=0, type="button",
                        className="button small"),
        ],
        className="moves", hidden=not rows,
    )  # fmt: skip
    if not rows:
        return [buttons]
    return [
        html.H3(texts.SIDES),
        html.P(texts.SIDES_HELP, className="aside"),
        buttons,
        table(texts.SIDE_HEAD, rows, caption=texts.SIDES),
    ]


def _side(one: Difference) -> Component:
    options = [{"label": texts.MINE, "value": "mine"},
               {"label": texts.THEIRS if one.takeable else texts.STAYS, "value": "theirs",
                "disabled": not one.takeable}]  # fmt: skip
    return dcc.RadioItems(
        options, None if one.takeable else "mine", id={"type": ids.IN_SIDE, "key": one.key},
        inline=True, className="choice",
    )  # fmt: skip


def _answers(shown: PackagePreview, show: Show) -> list[Component]:
    lines: list[Component] = []
    for one in shown.remarks:
        who = one.made_by or texts.SOMEBODY
        lines.append(html.Li(texts.REMARK.format(who=who, text=one.text)))
    for each in shown.proposals:
        data = each.cutting_data
        said = texts.PROPOSAL.format(
            who=each.made_by or texts.SOMEBODY, drill=each.drill,
            data=f"{show.value(data.speed_m_per_min, 'm/min')}, "
            f"{show.value(data.feed_mm_per_rev, 'mm/rev')}, {show.peck_mode(data)}",
        )  # fmt: skip
        beyond = show.sentence(each.problem)
        lines.append(html.Li([said, problem(beyond) if beyond else None]))
    return [html.H3(texts.ANSWERS), html.Ul(lines, className="said-by-others")] if lines else []


def take(
    workbench: Workbench, token: Any, name: Any, sides: Sequence[Any], keys: Any
) -> PackagePreview:
    """Take it in as it was chosen.

    Raises:
        HolewiseError: something was not chosen, or it cannot be.
    """
    choices: dict[str, Any] = {}
    for side, ident in zip(sides, keys, strict=True):
        if side in ("mine", "theirs"):
            choices[str(ident["key"])] = side
    path = workbench.held_file(_text(token))
    shown = workbench.preview_package(path)
    return workbench.import_package(
        path, name=_text(name) if shown.new_trial else None, choices=choices
    )


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise InputError(texts.UNREADABLE)
    return value.strip()


def all_of_one_side(options: Sequence[Any]) -> list[Any]:
    """Every choice on the side whose button was pressed; what cannot be taken stays."""
    side = "mine" if ctx.triggered_id == ids.IN_ALL_MINE else "theirs"
    if not all(isinstance(one, list) and one and isinstance(one[-1], dict) for one in options):
        return [no_update] * len(options)
    return ["mine" if one[-1].get("disabled") else side for one in options]
