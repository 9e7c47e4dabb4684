"""Settings of the shop, and where its data lie: for whoever looks after them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids
from dashboard.access import require_editor, viewer
from dashboard.components import Cell, command, problem, table, tile, tiles
from dashboard.show import Show
from dashboard.texts import access as access_texts
from dashboard.texts import settings as texts
from trials.errors import HolewiseError
from trials.model import ShopSettings
from trials.model.plain import from_plain, to_plain

if TYPE_CHECKING:
    from trials.workbench import AboutShop, Workbench


def layout(workbench: Workbench, show: Show, _trial: str) -> tuple[Component, str]:
    """What is set, where it lies, its copies, its machines, and who may sign in."""
    found = workbench.about()
    return html.Article(
        [
            html.H1(texts.TITLE),
            _form(workbench.settings()),
            _data(found, show),
            html.Section(
                [
                    html.H2(texts.BACKUPS),
                    html.P(texts.BACKUPS_NOTE, className="aside"),
                    html.Div(_backups(found, show), id=ids.SETTINGS_BACKUPS),
                    _make_backup(),
                ],
                className="card",
            ),
            html.Section([html.H2(texts.MACHINES), *_machines(found, show)]),
            html.Section([html.H2(texts.CATALOGUE), *_catalogue(found, show)]),
            _people(workbench, show) if viewer().may_edit else None,
        ],
        className="shop-data",
    ), texts.TITLE


def register(app: Dash, workbench: Workbench) -> None:
    """Saving what is set, and making a copy of the database."""

    @app.callback(
        Output(ids.SETTINGS_SAID, "children"),
        Output(ids.SETTINGS_WAS, "data"),
        Input(ids.SETTINGS_SAVE, "n_clicks"),
        State(ids.SETTINGS_NAME, "value"),
        State(ids.SETTINGS_UNITS, "value"),
        State(ids.SETTINGS_DECIMAL, "value"),
        State(ids.SETTINGS_CURRENCY, "value"),
        State(ids.SETTINGS_WAS, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.SETTINGS_SAVE, "disabled"), True, False)],
    )
    def save(
        clicks: int | None, name: str | None, units: str, decimal: str, currency: str | None,
        was: Mapping[str, Any],
    ) -> tuple[Any, Any]:  # fmt: skip
        require_editor()
        if not clicks:
            return no_update, no_update
        typed = {"name": (name or "").strip(), "units": units, "decimal": decimal,
                 "currency": (currency or "").strip().upper()}  # fmt: skip
        try:
            now = workbench.change_settings(
                from_plain(ShopSettings, typed), was=from_plain(ShopSettings, dict(was))
            )
        except HolewiseError as error:
            return problem(error), no_update
        return html.P(texts.SAVED, className="done"), to_plain(now)

    @app.callback(
        Output(ids.SETTINGS_BACKUP_SAID, "children"),
        Output(ids.SETTINGS_BACKUPS, "children"),
        Input(ids.SETTINGS_BACKUP, "n_clicks"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.SETTINGS_BACKUP, "disabled"), True, False)],
    )
    def back_up(clicks: int | None, view: Mapping[str, Any]) -> tuple[Any, Any]:
        require_editor()
        if not clicks:
            return no_update, no_update
        try:
            made = workbench.back_up()
        except HolewiseError as error:
            return problem(error), no_update
        said = texts.BACKUPS_MADE.format(file=made.name)
        return html.P(said, className="done"), _backups(workbench.about(), Show.from_view(view))


def _form(now: ShopSettings) -> Component:
    if not viewer().may_edit:
        return tiles(
            [
                tile(texts.NAME, now.name or texts.NAME_NONE),
                tile(texts.UNITS, texts.UNITS_CHOICES[now.units]),
                tile(texts.DECIMAL, texts.DECIMAL_CHOICES[now.decimal]),
            ],
            kind="small",
        )

    def choice(ident: str, label: str, choices: Mapping[str, str], value: str) -> Component:
        return html.Fieldset(
            [
                html.Legend(label),
                dcc.RadioItems(
                    [{"label": text, "value": key} for key, text in choices.items()],
                    value, id=ident, inline=True, className="choice",
                ),
            ],
            className="field",
        )  # fmt: skip

    def text(ident: str, label: str, value: str, **more: Any) -> Component:
        return html.Label(
            [label, dcc.Input(id=ident, value=value, type="text", autoComplete="off", **more)],
            className="field",
        )

    currency = text(ids.SETTINGS_CURRENCY, texts.CURRENCY, now.currency, maxLength=3)
    return html.Section(
        [
            html.H2(texts.FORM),
            html.P(texts.FORM_NOTE, className="aside"),
            dcc.Store(id=ids.SETTINGS_WAS, data=to_plain(now)),
            html.Div(
                [
                    text(ids.SETTINGS_NAME, texts.NAME, now.name, maxLength=60),
                    currency,
                    choice(ids.SETTINGS_UNITS, texts.UNITS, texts.UNITS_CHOICES, now.units),
                    choice(ids.SETTINGS_DECIMAL, texts.DECIMAL, texts.DECIMAL_CHOICES, now.decimal),
                ],
                className="fields",
            ),
            html.Div(
                html.Button(texts.SAVE, id=ids.SETTINGS_SAVE, n_clicks=0, type="button",
                            className="button main"),
                className="act",
            ),
            html.Div(id=ids.SETTINGS_SAID, role="status"),
        ],
        className="card",
    )  # fmt: skip


def _data(found: AboutShop, show: Show) -> Component:
    database, free = show.room(found.database_bytes), show.room(found.free_bytes)
    return html.Section(
        [
            html.H2(texts.DATA),
            tiles(
                [
                    tile(texts.TILE_VERSION, found.version),
                    tile(texts.TILE_SCHEMA, found.schema),
                    tile(texts.TILE_DATABASE, database),
                    tile(texts.TILE_FREE, free, texts.TILE_FREE_NOTE),
                ],
                kind="small",
            ),
            html.P(
                texts.DATA_SENTENCE.format(
                    folder=found.folder, trials=show.count(found.trials),
                    runs=show.count(found.runs), database=database, free=free,
                ),
                className="sentence",
            ),
        ]
    )  # fmt: skip


def _backups(found: AboutShop, show: Show) -> list[Component]:
    if not found.backups:
        return [html.P(texts.BACKUPS_NONE)]
    age_s = (datetime.now(UTC) - found.backups[0].made_utc).total_seconds()
    rows: list[list[Cell]] = [
        [one.path.name, f"{one.made_utc:%Y-%m-%d %H:%M}", show.room(one.bytes)]
        for one in found.backups
    ]
    return [
        html.P(texts.BACKUPS_NEWEST.format(age=show.seconds(max(0.0, age_s)))),
        table(texts.BACKUPS_COLUMNS, rows, caption=texts.BACKUPS, numbers=("size",)),
    ]


def _make_backup() -> Component | None:
    if not viewer().may_edit:
        return None
    return html.Div(
        [
            html.Div(
                html.Button(texts.BACKUPS_MAKE, id=ids.SETTINGS_BACKUP, n_clicks=0, type="button",
                            className="button"),
                className="act",
            ),
            html.Div(id=ids.SETTINGS_BACKUP_SAID, role="status"),
        ]
    )  # fmt: skip


def _machines(found: AboutShop, show: Show) -> list[Component]:
    if not found.machines:
        return [html.P(texts.MACHINES_NONE)]
    rows: list[list[Cell]] = [
        [
            machine.name or texts.MACHINES_NAMELESS,
            show.value(machine.rated_power_kw, "kW"),
            texts.RPM.format(value=show.count(machine.base_rpm)),
            texts.RPM.format(value=show.count(machine.max_rpm)),
            ", ".join(names[:5]) + ("…" if len(names) > 5 else ""),
        ]
        for machine, names in found.machines
    ]
    many = texts.MACHINES_SENTENCE.format(machines=show.count(len(found.machines)))
    return [
        html.P(texts.MACHINES_ONE if len(found.machines) == 1 else many),
        table(texts.MACHINES_COLUMNS, rows, caption=texts.MACHINES,
              numbers=("power", "base", "most")),
    ]  # fmt: skip


def _catalogue(found: AboutShop, show: Show) -> list[Component]:
    said = texts.CATALOGUE_OWN if found.own_catalogue else texts.CATALOGUE_SHIPPED
    profiles = (
        texts.PROFILES.format(names=", ".join(found.profiles))
        if found.profiles
        else texts.PROFILES_NONE
    )
    return [html.P(said.format(materials=show.count(found.materials))), html.P(profiles)]


def _people(workbench: Workbench, show: Show) -> Component:
    people = workbench.people()
    rows: list[list[Cell]] = [
        [one.name, access_texts.ROLES[one.role], texts.PEOPLE_PRICES[one.sees_prices],
         one.added_utc]
        for one in people
    ]  # fmt: skip
    many = texts.PEOPLE_SENTENCE.format(people=show.count(len(people)))
    said = {0: texts.PEOPLE_NONE, 1: texts.PEOPLE_ONE}.get(len(people), many)
    return html.Section(
        [
            html.H2(texts.PEOPLE),
            table(texts.PEOPLE_COLUMNS, rows, caption=texts.PEOPLE) if rows else None,
            html.P(said),
            *(command(line) for line in texts.PEOPLE_COMMANDS),
        ],
        className="card",
    )
