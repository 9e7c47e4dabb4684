"""Entering a wear reading: fields, large keys, and what is said when it is kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard import read as typed
from dashboard.access import viewer
from dashboard.components import aria, data
from dashboard.show import Show
from dashboard.texts import look as texts
from trials import units
from trials.errors import InputError
from trials.model import Trial, WearReading

_KEYS = ("7", "8", "9", "4", "5", "6", "1", "2", "3")
_WEAR = tuple(kind for kind in texts.FIELDS if kind != "hole_diameter_mm")


def entry(trial: Trial, holes: int, show: Show) -> Component:  # noqa: ARG001 - its hole may be shown
    """The form; it stays as it is while units change, apart from the units it names."""
    locked = not viewer().may_edit
    return html.Section(
        [
            html.H2(texts.READ),
            html.P(help_text(show), id=ids.LOOK_HELP, className="aside"),
            html.Div(
                [
                    html.Div(
                        [
                            html.Div(
                                [
                                    _field(texts.HOLE, ids.LOOK_HOLE, str(holes), locked),
                                    html.Button(
                                        texts.NEWEST.format(hole=show.count(holes)),
                                        id=ids.LOOK_NEWEST, type="button", n_clicks=0,
                                        value=str(holes), className="button small",
                                    ),
                                ],
                                className="look-hole",
                            ),
                            *(
                                _field(
                                    html.Span(label(kind, show),
                                              id={"type": ids.LOOK_UNIT, "kind": kind}),
                                    {"type": ids.LOOK_VALUE, "kind": kind}, "", locked,
                                )
                                for kind in texts.FIELDS
                            ),
                        ],
                        className="look-fields",
                    ),
                    html.Div(
                        [_key(sign) for sign in _KEYS]
                        + [_key(show.decimal), _key("0"),
                           _key(texts.KEY_BACK, "back", texts.KEY_BACK_SAID),
                           _key(texts.KEY_NEXT, "next")],
                        className="keypad",
                        role="group",
                        **aria(label=texts.KEYS),
                    ),
                ],
                className="look-entry",
            ),
            html.Label([html.Span(texts.NOTE),
                        dcc.Input(id=ids.LOOK_NOTE, type="text", value="", maxLength=500,
                                  disabled=locked)], className="field wide"),
            html.Button(texts.KEEP, id=ids.LOOK_KEEP, type="button", n_clicks=0, disabled=locked,
                        className="button main large"),
            html.Div(id=ids.LOOK_SAID, role="status"),
        ],
        className="card reading",
    )  # fmt: skip


def help_text(show: Show) -> str:
    """In which unit a bare number is read."""
    return texts.READ_HELP.format(unit=texts.UNITS[show.system])


def label(kind: str, show: Show) -> str:
    """Name of a field with its unit."""
    return texts.UNIT_AFTER.format(name=texts.FIELDS[kind], unit=texts.UNITS[show.system])


def _field(
    name: Component | str, ident: str | dict[str, str], value: str, locked: bool
) -> Component:
    return html.Label(
        [html.Span(name), dcc.Input(id=ident, type="text", value=value,
                                    autoComplete="off", maxLength=24, disabled=locked)],
        className="field",
    )  # fmt: skip


def _key(sign: str, does: str = "", said: str = "") -> Component:
    more = aria(label=said) if said else {}
    return html.Button(sign, type="button", className=f"key-button {does}".strip(),
                       **data(key=does or sign), **more)  # fmt: skip


def read(
    hole: str | None, values: Mapping[str, str | None], note: str | None, system: units.UnitSystem
) -> WearReading:
    """What was typed as a reading.

    Raises:
        InputError: a field that is no length, no hole, or nothing at all.
    """
    number = typed.whole(hole, texts.NO_HOLE)
    if number is None:
        raise InputError(texts.NO_HOLE, got=hole or "", allowed="a whole number, 0 or more")
    lengths = {
        kind: typed.length_mm(text, texts.FIELDS[kind], system)
        for kind, text in values.items()
        if kind in texts.FIELDS
    }
    if all(value is None for value in lengths.values()) and not (note or "").strip():
        raise InputError(texts.NOTHING)
    return WearReading(number, note=(note or "").strip(), **lengths)


def values_said(reading: WearReading, show: Show) -> str:
    """The values of a reading in words."""
    said = [
        f"{name} {show.value(value, 'mm')}"
        for kind, name in texts.FIELDS.items()
        if (value := getattr(reading, kind)) is not None
    ]
    return ", ".join(said) or texts.KEPT_NOTE


def kept(reading: WearReading, before: Sequence[WearReading], show: Show) -> Component:
    """What was kept, and what looks as if a digit had slipped."""
    said = [
        html.P(
            texts.KEPT.format(hole=show.count(reading.hole), values=values_said(reading, show)),
            className="done",
        )
    ]
    for kind in _WEAR:
        now = getattr(reading, kind)
        earlier = [one for one in before if one.hole <= reading.hole and getattr(one, kind)]
        if now is None or not earlier:
            continue
        last = getattr(earlier[-1], kind)
        odd = texts.LESS if now < last else texts.FAR_MORE if now > 4 * last else ""
        if odd:
            said.append(
                html.P(
                    odd.format(name=texts.FIELDS[kind], hole=show.count(earlier[-1].hole),
                               before=show.value(last, "mm")),
                    className="look-why",
                )
            )  # fmt: skip
    return html.Div(said)
