"""``holewise log --setup``: listen, show every field, offer what is what, save a profile."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import PurePath
from typing import TYPE_CHECKING

from trials import units
from trials.cli.show import console, say, table
from trials.errors import InputError

if TYPE_CHECKING:
    from trials.logger import FieldSeen, Guess, LineFormat, Mapping, Survey, Tried
    from trials.workbench import Workbench

LISTEN_S = 10.0
_MOST_ROWS = 20
_SPARK_VALUES = 320  # of the newest; more would smear single holes
_WORDS = {"load": "Spindle load", "time": "Time", "rpm": "Speed", "depth": "Depth"}
_KINDS = {"shdr": "SHDR", "key=value": "key=value pairs", "delimited": "columns"}
_MARKS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars", " ": "blanks"}


def set_up(
    bench: Workbench,
    source: str | None,
    name: str | None,
    trial: str | None,
    line_format: LineFormat | None,
    mapping: Mapping | None,
    *,
    seconds: float | None,
    yes: bool,
) -> None:
    """Find out how a source talks and keep it as a profile of the shop.

    Args:
        source: where to listen; needed.
        name: of the profile; None asks.
        trial: for the hint what to do next.
        line_format, mapping: what is known already; the rest is guessed.
        seconds: how long to listen.
        yes: take what is offered, and refuse where it is unsure.

    Raises:
        InputError: nothing that can be used came, or an answer is needed and cannot be had.
    """
    from trials.logger import guess, survey

    if source is None:
        raise InputError(
            "--source", got="nothing", allowed="serial:PORT, tcp://host:port, csv:FILE …",
            do="Say where to listen. Ports of this computer: holewise doctor",
        )  # fmt: skip
    say(f"Listening to {source} for at most {seconds or LISTEN_S:g} s. Drill, if you can.")
    heard = bench.listen(source, seconds or LISTEN_S)
    seen = survey(heard, line_format=line_format)
    say(_lines_text(seen))
    found = guess(seen)
    order = _shown(seen, found)
    _show_fields(seen, order)
    dialog = _Dialog(seen, order, ask=not yes)
    chosen = mapping if mapping is not None else dialog.choose(found)
    while True:
        try:
            say(_tried_text(_tried(seen, chosen)))
            break
        except InputError as error:
            if mapping is not None or yes:
                raise
            say(f"That does not work. {error}")
            found.doubts = ["what is what, after that"]
            chosen = dialog.choose(found)
    _save(bench, dialog, source, name, trial, seen.line_format, chosen)


def _tried(seen: Survey, mapping: Mapping) -> Tried:
    """What a mapping makes of what was heard.

    Raises:
        InputError: it does not fit, or no value can be read by it.
    """
    from trials.logger import try_out

    tried = try_out(seen.heard, seen.line_format, mapping)
    if not len(tried.batch):
        low, high = mapping.load_range_pct
        rejects = ", ".join(f"{kind} {count}" for kind, count in tried.counters.rejects.items())
        raise InputError(
            "spindle load", got=f"no value that could be read ({rejects or 'nothing came'})",
            allowed=f"numbers in the range {low:g} to {high:g} % of the rated load",
            do="Choose another field or another unit.",
        )  # fmt: skip
    return tried


def _lines_text(seen: Survey) -> str:
    form = seen.line_format
    kind = _KINDS[form.kind]
    if form.kind == "delimited":
        kind += f" between {_MARKS[form.delimiter]}" + (" with a header" if form.header else "")
    if form.kind != "shdr":
        kind += f", decimal {'comma' if form.decimal == ',' else 'point'}"
    if form.encoding != "utf-8":
        kind += f", {form.encoding}"
    rate = f", {seen.lines / seen.duration_s:.3g} a second" if seen.duration_s > 0.2 else ""
    return f"Lines: {kind}; {seen.lines:,} of them{rate}, {len(seen.fields)} fields."


def _shown(seen: Survey, found: Guess) -> list[FieldSeen]:
    """Fields in the order of their numbers on the screen: what is offered first, then the rest."""
    offered = [*found.load[:3], *found.time[:1], *found.rpm[:1], *found.depth[:1]]
    first = [one for one in (seen.field(name) for name in dict.fromkeys(offered)) if one]
    if len(seen.fields) <= _MOST_ROWS:
        return list(seen.fields)
    rest = [one for one in seen.fields if one not in first]
    return [*first, *sorted(rest, key=lambda one: (one.kind != "number", -one.count))]


def _show_fields(seen: Survey, order: list[FieldSeen], *, every: bool = False) -> None:
    from trials.cli.log_view import spark

    rows = []
    blocks = "utf" in (sys.stdout.encoding or "").casefold()
    for number, one in enumerate(order if every else order[:_MOST_ROWS], 1):
        rate = seen.rate_per_s(one)
        measured = one.kind == "number" and len(one.values) > 0
        rows.append(
            (
                str(number), _name(one), str(one.count), "" if rate is None else f"{rate:.3g}",
                f"{one.low:.6g}" if measured else "", f"{one.high:.6g}" if measured else "",
                spark(one.values[-_SPARK_VALUES:].tolist(), 16, blocks=blocks) if measured else "",
                "  ".join(one.examples),
            )
        )  # fmt: skip
    columns = ("#", "field", "values", "a second", "lowest", "highest", "how it went", "examples")
    table("", columns, rows)
    left = len(order) - len(rows)
    if left > 0:
        say(f"And {left} more fields; type ? at a question to see all.")


def _name(one: FieldSeen) -> str:
    return f"column {one.name}" if isinstance(one.name, int) else one.name


def _tried_text(tried: Tried) -> str:
    batch = tried.batch
    text = (
        f"Tried: {len(batch):,} samples, load {units.show(float(batch.load_pct.min()), '%')} to "
        f"{units.show(float(batch.load_pct.max()), '%')}"
    )
    spent_s = float(batch.time_s[-1] - batch.time_s[0])
    if spent_s > 0:
        text += f", over {spent_s:,.1f} s"
    if tried.counters.rejected:
        rejects = ", ".join(f"{kind} {count}" for kind, count in tried.counters.rejects.items())
        return f"{text}; {tried.counters.rejected:,} lines rejected ({rejects})."
    return f"{text}; no line rejected."


class _Dialog:
    """Questions with an answer that Enter takes; with ``ask`` false, that answer is taken."""

    def __init__(self, seen: Survey, order: list[FieldSeen], *, ask: bool) -> None:
        self._seen = seen
        self._order = order
        self.asks = ask

    def choose(self, found: Guess) -> Mapping:
        """What is what: shown as a whole, asked one by one where wanted or unsure."""
        if not found.load and not self.asks:
            raise self._unsure("; ".join(found.doubts) or "no load was found")
        self._show(found)
        if not self.asks:
            if found.doubts:
                raise self._unsure("; ".join(found.doubts))
            return found.mapping()
        for doubt in found.doubts:
            say(f"Not sure: {doubt}.")
        if not found.doubts and self._yes("Is that right?", default=True):
            return found.mapping()
        self._choose_load(found)
        if self._seen.line_format.kind != "shdr":
            self._choose_time(found)
        found.rpm = self._field("Speed of the spindle, - for none", found.rpm, none=True)
        found.depth = self._field("Depth, - for none", found.depth, none=True)
        return found.mapping(self._reference(found))

    def _choose_load(self, found: Guess) -> None:
        from trials.logger import set_load_unit
        from trials.logger.mapping import LOAD_UNITS, known_unit

        offered = found.load[:1]
        found.load = self._field("Spindle load, number or name", found.load, none=False)
        if found.load[:1] != offered and (one := self._seen.field(found.load[0])) is not None:
            set_load_unit(found, one)
        while True:
            unit = self.answer(
                "Unit of the load: %, ratio (1 is full), kW, A, N*m", found.load_unit
            )
            if known_unit(unit) in LOAD_UNITS:
                found.load_unit = known_unit(unit)
                return
            say(f"{unit} is not a unit of load here.")

    def _choose_time(self, found: Guess) -> None:
        from trials.logger import time_unit
        from trials.logger.mapping import TIME_UNITS, known_unit

        found.time = self._field("Time, - for the time of arrival", found.time, none=True)
        if not found.time:
            return
        one = self._seen.field(found.time[0])
        offered = time_unit(self._seen, one)[0] if one is not None else found.time_unit
        while True:
            unit = self.answer("Unit of time: s, ms, iso (date and time of day)", offered)
            if known_unit(unit) in TIME_UNITS:
                found.time_unit = known_unit(unit)
                return
            say(f"{unit} is not a unit of time here.")

    def _reference(self, found: Guess) -> float | None:
        if found.load_unit not in ("kW", "A", "N*m"):
            return None
        while True:
            text = self.answer(
                f"Which value in {found.load_unit} is 100 % of the rated load? (nameplate of the "
                "spindle)", "",
            )  # fmt: skip
            try:
                value = units.parse_number(text, what="reference")
            except InputError as error:
                say(str(error))
                continue
            if value > 0:
                return value
            say("It is more than 0.")

    def _show(self, found: Guess) -> None:
        rows = []
        for what, names, unit in (
            ("load", found.load, found.load_unit), ("time", found.time, found.time_unit),
            ("rpm", found.rpm, "1/min"), ("depth", found.depth, found.depth_unit),
        ):  # fmt: skip
            one = self._seen.field(names[0]) if names else None
            if one is None:
                own = what == "time" and self._seen.line_format.kind == "shdr"
                field = "its own, in every line" if own else "none"
                rows.append((_WORDS[what], field, "", ""))
                continue
            why = "; ".join(
                dict.fromkeys(
                    text for key in (what, f"{what}_unit") if (text := found.why.get(key))
                )
            )
            rows.append((_WORDS[what], _name(one), unit, why))
        table("Offered", ("what", "field", "unit", "because"), rows)
        others = [str(name) for name in found.load[1:4]]
        if others:
            say(f"The load could also be {', '.join(others)}.")

    def _field(self, question: str, offered: list[str | int], *, none: bool) -> list[str | int]:
        """Ask for a field by its number on the screen or by its name."""
        default = ""
        if offered:
            default = next(
                (str(n) for n, one in enumerate(self._order, 1) if one.name == offered[0]), ""
            )
        while True:
            text = self.answer(question, default or ("-" if none else ""))
            if text == "?":
                _show_fields(self._seen, self._order, every=True)
                continue
            if text == "-" and none:
                return []
            if text.isdigit() and 1 <= int(text) <= len(self._order):
                return [self._order[int(text) - 1].name]
            if any(one.name == text for one in self._order):
                return [text]
            say(f"There is no field {text!r}: type its number (1 to {len(self._order)}), or ?.")

    def _yes(self, question: str, *, default: bool) -> bool:
        text = self.answer(f"{question} (y/n)", "y" if default else "n").casefold()
        return text.startswith(("y", "j", "o", "s"))  # yes in the languages around

    def replace_it(self, name: str) -> bool:
        """Whether a profile of that name may be replaced."""
        return self.asks and self._yes(f"There is a profile {name}. Replace it?", default=False)

    def answer(self, question: str, default: str) -> str:
        """One line from the keyboard; Enter alone is the default."""
        if not self.asks:
            return default
        console().print(f"{question} [{default}]: " if default else f"{question}: ", end="")
        sys.stdout.flush()
        line = sys.stdin.readline()
        if not line:
            raise InputError(
                "an answer", got="the end of the input", allowed="a line from the keyboard",
                do="Without a keyboard use --yes, with --map where something is unsure.",
            )  # fmt: skip
        return line.strip() or default

    @staticmethod
    def _unsure(what: str) -> InputError:
        return InputError(
            "what is what", got=what, allowed="a choice that leaves no doubt",
            do="Run it without --yes and choose, or say it with --map, such as "
            "--map load=<field>,unit=%,time=<field>. kW, A and N*m need reference=<value that is "
            "100 %>.",
        )  # fmt: skip


def _save(
    bench: Workbench,
    dialog: _Dialog,
    source: str,
    name: str | None,
    trial: str | None,
    line_format: LineFormat,
    mapping: Mapping,
) -> None:
    from trials.logger import Profile

    profile = Profile(name or _name_from(source), line_format, mapping, source)
    while name is None and dialog.asks:
        try:
            profile = replace(profile, name=dialog.answer("Save as profile", profile.name))
        except InputError as error:
            say(str(error))
        else:
            break
    there = profile.name in bench.profiles()
    path = bench.save_profile(profile, replace=there and dialog.replace_it(profile.name))
    say(f"Saved {path}. It can be copied to other computers.")
    named = f"'{profile.name}'" if " " in profile.name else profile.name
    say(f"Next: holewise log {trial or 'TRIAL'} --profile {named}")


def _name_from(source: str) -> str:
    """A name for the profile of a source: its port, host or file."""
    place = source.partition("?")[0]
    kind, _, rest = place.partition(":")
    rest = rest.strip("/") or kind
    if kind in ("csv", "replay", "serial") or "/" in rest:
        rest = PurePath(rest).stem
    return re.sub(r"[^\w.-]+", "-", rest).strip("-.")[:40] or "machine"
