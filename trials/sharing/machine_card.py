"""The card for the machine: cutting data, limits, when to look, what to write down. To print.

One HTML page without scripts that needs nothing from outside. It prints on A4 and on Letter. It is
for a person who sets the machine; nothing here is a program for a control.
"""

from __future__ import annotations

import html
import math
from collections.abc import Iterable
from typing import Protocol

from trials import units
from trials.mechanics import HoleGrid, Screening, Start, TestPlan
from trials.model import CAUTIONS, Trial

_MOST_LOOKS = 12
_MOST_ON_SHEET = 200

STYLE = """
@page { size: auto; margin: 12mm 12mm 11mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 186mm; color: #000; background: #fff;
  font: 10pt/1.26 "Liberation Sans", Arial, Helvetica, sans-serif;
  font-variant-numeric: tabular-nums; }
h1 { font-size: 16pt; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 10.5pt; margin: 2.2mm 0 0.8mm; border-bottom: 0.5mm solid #000; }
p { margin: 0.6mm 0; overflow-wrap: anywhere; }
.invented { border: 0.4mm solid #000; padding: 0.6mm 2mm; font-weight: bold;
  display: inline-block; }
.set { display: grid; grid-template-columns: repeat(auto-fit, minmax(42mm, 1fr)); gap: 2mm;
  margin-top: 1mm; }
.set div { border: 0.5mm solid #000; padding: 1.2mm 2mm; break-inside: avoid; }
.set .name { font-size: 9pt; }
.set .value { font-size: 15pt; font-weight: bold; line-height: 1.15; white-space: nowrap; }
.set .other { font-size: 9pt; }
table { width: 100%; border-collapse: collapse; font-size: 9.5pt; }
th, td { border: 0.25mm solid #555; padding: 0.7mm 1.2mm; text-align: left; vertical-align: top; }
th { font-weight: bold; background: #eee; -webkit-print-color-adjust: exact;
  print-color-adjust: exact; }
.facts th { width: 32%; }
.write td { height: 5.6mm; }
.write td:first-child { font-weight: bold; text-align: right; width: 13mm; }
ul { margin: 0.5mm 0; padding-left: 5mm; columns: 2; column-gap: 8mm; font-size: 9pt; }
li { break-inside: avoid; }
.cautions { border: 0.6mm solid #000; padding: 1.2mm 2.5mm; margin-top: 3mm; font-size: 9pt;
  break-inside: avoid; }
.sign { display: flex; gap: 4mm; margin-top: 2mm; }
.sign span { flex: 1; border-bottom: 0.3mm solid #000; padding-bottom: 5mm; font-size: 9pt; }
section.sheet { break-before: page; }
svg { width: 100%; max-height: 95mm; }
.columns { columns: 3; column-gap: 5mm; }
.columns table { break-inside: auto; font-size: 8.5pt; }
.columns td, .columns th { padding: 0.25mm 1mm; }
tr { break-inside: avoid; }
@media screen { body { padding: 8mm; } }
"""


class Shown(Protocol):
    """What a card is made of; see `trials.workbench.Beginning`."""

    @property
    def trial(self) -> Trial: ...
    @property
    def screening(self) -> Screening: ...
    @property
    def start(self) -> Start: ...
    @property
    def plan(self) -> TestPlan: ...
    @property
    def grid(self) -> HoleGrid | None: ...


def machine_card(
    beginning: Shown, system: units.UnitSystem = "metric", *, sheets: bool = True
) -> str:
    """The card as one HTML page.

    Args:
        beginning: trial, drill, first cutting data, plan and hole grid.
        system: which units are large; the other ones stand beside them.
        sheets: with the hole grid on a sheet of its own.
    """
    write = Writer(system)
    trial, found = beginning.trial, beginning.start
    body = [
        *_head(trial, beginning.screening, write),
        *_settings(found, write),
        *_limits(trial, found, beginning.plan, write),
        *_mind(beginning.screening, write),
        *_to_write(beginning.plan, write),
        (
            '<div class="sign"><span>Date</span><span>Machine</span><span>Drilled by</span>'
            "<span>Batch of the work</span></div>"
        ),
        f'<div class="cautions"><b>Before you drill.</b> {plain_text(CAUTIONS)}</div>',
    ]
    if beginning.grid is not None and sheets:
        body += _grid_sheet(beginning.grid, write)
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{plain_text(trial.name)}: card for the machine</title>"
        f"<style>{STYLE}</style></head>"
        f"<body>\n{chr(10).join(body)}\n</body></html>\n"
    )


class Writer:
    """Values in the units that the reader wants, and in the others."""

    def __init__(self, system: units.UnitSystem) -> None:
        self.system = system
        self.other_system: units.UnitSystem = "inch" if system == "metric" else "metric"

    def value(self, value: float, unit: str) -> str:
        return _trimmed(units.show(value, unit, self.system))

    def other(self, value: float, unit: str) -> str:
        return _trimmed(units.show(value, unit, self.other_system))

    def both(self, value: float, unit: str) -> str:
        return f"{self.value(value, unit)} ({self.other(value, unit)})"

    def down(self, value: float, unit: str) -> str:
        """A value to be set, cut off to its last digit and never rounded up."""
        return _cut_off(value, unit, self.system)

    def other_down(self, value: float, unit: str) -> str:
        return _cut_off(value, unit, self.other_system)

    def sentence(self, text: str) -> str:
        return plain_text(units.sentence(text, self.system))


def _trimmed(text: str) -> str:
    """Without the zeros that say nothing: 8.500 mm → 8.5 mm."""
    number, gap, unit = text.partition(" ")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number}{gap}{unit}"


_DIGITS = {("mm", "metric"): 1, ("mm", "inch"): 3, ("mm/min", "metric"): 0, ("mm/min", "inch"): 1,
           ("mm/rev", "metric"): 4, ("mm/rev", "inch"): 5, ("m/min", "metric"): 1,
           ("m/min", "inch"): 0}  # fmt: skip


def _cut_off(value: float, unit: str, system: units.UnitSystem) -> str:
    name = unit
    if system == "inch":
        value, name = units.to_inch(value, unit)
    digits = _DIGITS[unit, system]
    down = math.floor(value * 10**digits + 1e-6) / 10**digits
    number = f"{down:,.{digits}f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {name}"


def plain_text(text: str) -> str:
    """What people wrote, without anything that HTML would read as markup."""
    return html.escape(" ".join(text.split()))


def _head(trial: Trial, screening: Screening, write: Writer) -> list[str]:
    hole = trial.hole
    tolerance = f", {plain_text(hole.tolerance)}" if hole.tolerance else ""
    finish = ", to be reamed" if hole.finish == "reamed" else ""
    drill = screening.drill
    parts = [f"<h1>{plain_text(trial.name)}: card for the machine</h1>"]
    if trial.invented:
        parts.append('<p class="invented">Invented data: no real machine, drill or shop.</p>')
    parts += [
        (
            f"<p><b>Hole</b> {write.both(hole.diameter_mm, 'mm')} × "
            f"{write.both(hole.depth_mm, 'mm')} "
            f"{'through' if hole.through else 'blind'}{tolerance}{finish}; depth to the "
            "full diameter. "
            f"<b>Work</b> {plain_text(trial.work.material)} (ISO {trial.work.group}). "
            f"<b>Machine</b> {plain_text(trial.machine.name)}.</p>"
        ),
        (
            f"<p><b>Drill</b> {plain_text(drill.name)}: {write.both(drill.diameter_mm, 'mm')}, "
            f"{drill.substrate}, {plain_text(drill.coating.replace('_', ' '))}, point "
            f"{drill.point_angle_deg:g}°. Put in a fresh edge; check runout and length.</p>"
        ),
    ]
    return parts


def _settings(found: Start, write: Writer) -> Iterable[str]:
    data = found.cutting_data
    # Surface speed and feed were rounded down already; what is typed in is cut off once more.
    boxes = [
        ("Spindle speed", f"{math.floor(found.rpm + 1e-6):,} /min",
         (f"{write.down(data.speed_m_per_min, 'm/min')} "
         f"({write.other_down(data.speed_m_per_min, 'm/min')})")),
        ("Feed rate", write.down(found.feed_rate_mm_per_min, "mm/min"),
         (f"{write.other_down(found.feed_rate_mm_per_min, 'mm/min')}; "
         f"{write.down(data.feed_mm_per_rev, 'mm/rev')} "
         f"({write.other_down(data.feed_mm_per_rev, 'mm/rev')})")),
    ]  # fmt: skip
    if data.peck_mode == "none":
        boxes.append(("Pecks", "none", "in one go"))
    else:
        depth = data.peck_depth_xd * found.diameter_mm
        mode = {"chip_break": "chip break", "full_retract": "full retract"}[data.peck_mode]
        boxes.append(
            (
                "Pecks",
                write.down(depth, "mm"),
                f"{mode}, {found.time.pecks} pecks; {write.other_down(depth, 'mm')}",
            )
        )
    if data.breakthrough_feed_factor < 1:
        rate = found.feed_rate_mm_per_min * data.breakthrough_feed_factor
        boxes.append(
            (f"Last {write.value(data.breakthrough_mm, 'mm')} before it breaks through",
             write.down(rate, "mm/min"), write.other_down(rate, "mm/min"))
        )  # fmt: skip
    yield "<h2>Set at the machine</h2>"
    yield '<div class="set">' + "".join(
        f'<div><span class="name">{name}</span><br><span class="value">{value}</span><br>'
        f'<span class="other">{other}</span></div>'
        for name, value, other in boxes
    ) + "</div>"  # fmt: skip
    yield f"<p>{_coolant(found)} One hole takes about {found.time.total_s:.0f} s.</p>"


def _coolant(found: Start) -> str:
    if found.through_coolant_bar > 0:
        return f"Coolant through the drill, {found.through_coolant_bar:g} bar."
    return f"Coolant from outside: {plain_text(found.coolant)}."


def _limits(trial: Trial, found: Start, plan: TestPlan, write: Writer) -> list[str]:
    stop = (
        f"Stop at once: {trial.load_limit_pct:g} % peak load, a squeal, a jump in the load, blue "
        "or packed chips, a chipped or broken edge, a hole out of tolerance."
    )
    rows = [
        ("Load, % of rating", (f"expect about {found.load_fresh_pct:.0f} % above idle when sharp, "
         f"{found.load_worn_pct:.0f} % when worn; never above {trial.load_limit_pct:g} %")),
        ("Thrust", (f"expect up to {write.both(found.thrust_n, 'N')} when worn; limit "
         f"{write.both(found.thrust_limit_n, 'N')}")),
        ("Worn at", f"{write.both(trial.wear_limit_mm, 'mm')} of wear"),
        ("Longest run", (f"{plan.holes_a_run:,} holes; {plan.runs} "
         f"run{'s' if plan.runs > 1 else ''} planned")),
        ("Look at the drill", f"after hole 1, then every {plan.look_every:,} holes"),
    ]  # fmt: skip
    table = "".join(f"<tr><th>{name}</th><td>{text}</td></tr>" for name, text in rows)
    return ["<h2>Limits</h2>", f'<table class="facts">{table}</table>',
            f"<p><b>{plain_text(stop)}</b></p>"]  # fmt: skip


def _mind(screening: Screening, write: Writer) -> list[str]:
    lines = [
        f"<li><b>{plain_text(verdict.rule)}</b>: overruled, {plain_text(verdict.overruled)}</li>"
        if verdict.overruled
        else f"<li><b>{plain_text(verdict.rule)}</b>: {write.sentence(verdict.reason)}</li>"
        for verdict in screening.conditions
    ]
    lines += [
        f"<li><b>{plain_text(verdict.rule)} DOES NOT FIT</b>: {write.sentence(verdict.reason)}</li>"
        for verdict in screening.against
    ]
    return ["<h2>Mind</h2>", f"<ul>{''.join(lines)}</ul>"] if lines else []


def _to_write(plan: TestPlan, write: Writer) -> list[str]:
    looks = [str(hole) for hole in plan.looks[:_MOST_LOOKS]]
    if len(plan.looks) > _MOST_LOOKS:
        looks[-1] = ""
    looks += [""] * (2 if len(looks) < _MOST_LOOKS else 0)
    unit = "mm" if write.system == "metric" else "in"
    heads = ("hole", "peak load, %", f"wear VB average, {unit}", f"VB maximum, {unit}",
             f"chipping, {unit}", f"hole diameter, {unit}", "chips, sound, remarks")  # fmt: skip
    head = "".join(f"<th>{name}</th>" for name in heads)
    rows = "".join(f"<tr><td>{hole}</td>{'<td></td>' * 6}</tr>" for hole in looks)
    return [
        "<h2>Write down at each look</h2>",
        f'<table class="write"><tr>{head}</tr>{rows}</table>',
        (
            "<p>End of the run (ring one): worn, stopped, chipped, broken, out of tolerance, load "
            "limit; after hole ______</p>"
        ),
    ]


def _grid_sheet(grid: HoleGrid, write: Writer) -> list[str]:
    metric = write.system == "metric"
    unit, digits, scale = ("mm", 2, 1.0) if metric else ("in", 4, 1 / 25.4)
    shown = grid.holes[:_MOST_ON_SHEET]
    head = f"<tr><th>hole</th><th>plate</th><th>x, {unit}</th><th>y, {unit}</th></tr>"
    thirds = [shown[at : at + 50] for at in range(0, len(shown), 50)]
    tables = "".join(
        f"<table>{head}"
        + "".join(
            f"<tr><td>{hole.number}</td><td>{hole.plate}</td>"
            f"<td>{hole.x_mm * scale:.{digits}f}</td><td>{hole.y_mm * scale:.{digits}f}</td></tr>"
            for hole in part
        )
        + "</table>"
        for part in thirds
    )
    more = ""
    if len(grid.holes) > len(shown):
        more = f"<p>… {len(grid.holes) - len(shown):,} more holes: see the CSV file.</p>"
    remarks = " ".join(write.sentence(remark) for remark in grid.remarks)
    return [
        '<section class="sheet"><h1>Test plate</h1>',
        (
            f"<p>Plate {write.both(grid.length_mm, 'mm')} × {write.both(grid.width_mm, 'mm')}, "
            f"{grid.plates} of them; {grid.columns} × {grid.rows} holes on each, "
            f"{len(grid.holes):,} in all. At least {write.both(grid.wall_mm, 'mm')} between holes "
            f"and {write.both(grid.edge_mm, 'mm')} to the edge. x and y from the lower left corner "
            f"of the plate to the middle of the hole. {remarks}</p>"
        ),
        _drawing(grid),
        f'<div class="columns">{tables}</div>{more}</section>',
    ]


def _drawing(grid: HoleGrid) -> str:
    """The first plate to scale, y upwards, numbers where there is room for them."""
    width, height = grid.length_mm, grid.width_mm
    radius = grid.diameter_mm / 2
    line = max(width, height) / 500
    size = min(radius * 0.95, max(width, height) / 30)
    parts = [
        (
            f'<rect x="0" y="0" width="{width:g}" height="{height:g}" fill="none" '
            f'stroke="#000" stroke-width="{2 * line:g}"/>'
        )
    ]
    parts += [
        f'<line x1="{x:g}" x2="{x:g}" y1="0" y2="{height:g}" stroke="#000" '
        f'stroke-width="{line:g}" '
        f'stroke-dasharray="{4 * line:g}"/>'
        for x in (grid.clamp_mm, width - grid.clamp_mm)
        if grid.clamp_mm > 0
    ]
    for hole in grid.holes:
        if hole.plate != 1:
            break
        y = height - hole.y_mm
        parts.append(
            f'<circle cx="{hole.x_mm:g}" cy="{y:g}" r="{radius:g}" fill="none" '
            f'stroke="#000" stroke-width="{line:g}"/>'
            f'<text x="{hole.x_mm:g}" y="{y + size * 0.35:g}" '
            f'font-size="{size:g}" text-anchor="middle">{hole.number}</text>'
        )
    edge = 2 * line
    return (
        f'<svg viewBox="{-edge:g} {-edge:g} {width + 2 * edge:g} {height + 2 * edge:g}" '
        'role="img" aria-label="Holes on the test plate">' + "".join(parts) + "</svg>"
    )
