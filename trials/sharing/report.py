"""The report: one page of HTML that works offline, prints on A4 and Letter, and needs no program.

It begins with a summary on one page, for a reader who never saw Holewise. Every length, speed and
feed stands in metric and inch. Where something is not known it says so, and why.
"""

from __future__ import annotations

import base64

from trials.figures import PART_NAMES
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CAUTIONS, END_MEANS, Trial
from trials.sharing import report_words as words
from trials.sharing.report_values import Report
from trials.sharing.svg_chart import Interval, Marks, intervals, scatter
from trials.version import VERSION

_STYLE = """
@page { size: auto; margin: 14mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 182mm; color: #111; background: #fff;
  font: 10.5pt/1.42 "Liberation Sans", Arial, Helvetica, sans-serif;
  font-variant-numeric: tabular-nums; }
h1 { font-size: 19pt; line-height: 1.15; margin: 0 0 2mm; overflow-wrap: anywhere; }
h2 { font-size: 13pt; margin: 7mm 0 1.5mm; border-bottom: 0.5mm solid #111; break-after: avoid; }
h3 { font-size: 11pt; margin: 4mm 0 1mm; break-after: avoid; }
p, li { margin: 1mm 0; overflow-wrap: anywhere; }
table { width: 100%; border-collapse: collapse; font-size: 9.2pt; margin: 1.5mm 0; }
th, td { border-bottom: 0.25mm solid #888; padding: 1mm 1.6mm 1mm 0; text-align: left;
  vertical-align: top; overflow-wrap: break-word; }
thead { display: table-header-group; }
tr, figure, .box { break-inside: avoid; }
.box { border: 0.6mm solid #111; padding: 2mm 3.5mm; margin: 3mm 0; }
.big { font-size: 14pt; font-weight: bold; line-height: 1.25; }
.invented { font-weight: bold; border: 0.4mm solid #111; display: inline-block;
  padding: 0.5mm 2mm; }
figure { margin: 2mm 0; }
figcaption { font-size: 9.2pt; }
.photos { display: grid; grid-template-columns: 1fr 1fr; gap: 3mm 5mm; }
.photos img { width: 100%; max-height: 70mm; object-fit: contain; display: block;
  border: 0.25mm solid #888; background: #fff; }
svg { width: 100%; max-height: 78mm; font: 12px "Liberation Sans", Arial, sans-serif; }
svg .grid { stroke: #bbb; stroke-width: 1; } svg .limit { stroke: #a01010; stroke-width: 2;
  stroke-dasharray: 7 5; } svg .line { fill: none; stroke: #0b57a4; stroke-width: 2; }
svg .range { stroke: #0b57a4; stroke-width: 4; } svg circle { fill: #0b57a4; }
svg .middle, svg .mark { text-anchor: middle; } svg .end { text-anchor: end; }
section.more { break-before: page; }
@media screen { body { padding: 8mm; } }
@media screen and (max-width: 600px) { body { padding: 4mm; }
  th, td { overflow-wrap: anywhere; } }
"""
_SIGNS = "●○▲■◆✕"


def report_html(report: Report) -> str:
    """The report as one HTML page that needs nothing from outside."""
    title = f"{report.trial.name}: drilling trial"
    body = [
        *_summary(report),
        '<section class="more">',
        *_question(report),
        *_drills(report),
        *_method(),
        *_runs(report),
        *_wear(report),
        *_life(report),
        *_cost(report),
        *_recommendation(report),
        *_not_known(report),
        f"<h2>Cautions</h2><div class='box'>{words.safe(CAUTIONS)}</div>",
        f"<p>Written by Holewise {words.safe(VERSION)}.</p></section>",
    ]
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        "<meta http-equiv='Content-Security-Policy' content=\"default-src 'none'; "
        "style-src 'unsafe-inline'; img-src data:\">"
        f"<title>{words.safe(title)}</title><style>{_STYLE}</style></head><body>\n"
        + "\n".join(body)
        + "\n</body></html>\n"
    )


def _summary(report: Report) -> list[str]:
    trial = report.trial
    lines = [f"<h1>{words.safe(trial.name)}: which drill, how fast, how long?</h1>"]
    if trial.invented:
        lines.append('<p class="invented">Invented demonstration data: no real machine, drill or '
                     "shop.</p>")  # fmt: skip
    lines.append(f"<p><b>The question.</b> {words.safe(words.hole(trial))} {_which(trial)} "
                 "the cheapest hole in tolerance without breaking, and with which cutting "
                 "data?</p>")  # fmt: skip
    lines.append('<div class="box">')
    if report.advice is None or report.drill is None:
        lines.append(
            f'<p class="big">No recommendation yet</p><p>{words.safe(report.not_advised)}</p>'
        )
    else:
        data = report.advice.cutting_data
        lines.append(f'<p class="big">{words.safe(report.drill)}: {words.data(data)}</p>')
        lines.append(
            f"<p>{rpm(data.speed_m_per_min, trial.drill(report.drill).diameter_mm):.0f} /min. "
            f"Expected: {words.spread(report.advice.holes, 0)} holes an edge, worn peak load "
            f"{words.spread(report.advice.load_worn_pct, 0)} % of rating (limit "
            f"{trial.load_limit_pct:g} %)"
            + (f", {words.spread(report.advice.cost_per_hole, 3)} {_currency(report)} a hole."
               if _money(report) else ".")
            + "</p>"
        )  # fmt: skip
    lines.append("</div>")
    ended = [one for one in report.runs if one.run.end is not None]
    holes = sum(one.run.holes for one in report.runs)
    lines.append(f"<p><b>What was done.</b> {len(report.runs)} runs with {holes:,} test holes; "
                 f"{len(ended)} came to an end: {words.ends(ended)}.</p>")  # fmt: skip
    lines += _compared(report)
    lines.append("<p><b>How sure.</b> Ranges in this report hold nine cases of ten as far as these "
                 "runs can tell; the middle value comes first. ")  # fmt: skip
    lines.append(_sure(report) + "</p>")
    lines.append(f'<div class="box">{words.safe(CAUTIONS)}</div>')
    return lines


def _which(trial: Trial) -> str:
    count = len(trial.drills)
    return "Does its drill make" if count == 1 else f"Which of {count} drills makes"


def _question(report: Report) -> list[str]:
    trial, machine = report.trial, report.trial.machine
    rows = [
        ("hole", words.hole(trial)),
        ("machine", (f"{machine.name}: {words.both(machine.rated_power_kw, 'kW')} from "
         f"{machine.base_rpm:g} /min, at most {machine.max_rpm:g} /min")),
        ("load limit", f"{trial.load_limit_pct:g} % of the spindle's rating, for a worn drill"),
        ("worn at", f"{words.both(trial.wear_limit_mm, 'mm')} of flank wear or chipping"),
        ("holes to make", "a job that keeps coming back" if trial.holes_to_make is None
         else f"{trial.holes_to_make:,}"),
    ]  # fmt: skip
    return ["<h2>The question</h2>", words.table(("", ""), rows)]


def _drills(report: Report) -> list[str]:
    money = _money(report)
    head = ["drill", "maker", "made of", "diameter", "point"]
    rows = [
        [
            drill.name, drill.maker or "–",
            f"{drill.substrate}, {drill.coating.replace('_', ' ')}",
            words.both(drill.diameter_mm, "mm"),
            f"{drill.point_angle_deg:g}°",
            str(drill.regrinds), *([f"{drill.price:g} {_currency(report)}"] if money else []),
        ]
        for drill in report.trial.drills
    ]  # fmt: skip
    head += ["regrinds", *(["price"] if money else [])]
    return ["<h2>Drills</h2>", words.table(head, rows)]


def _method() -> list[str]:
    text = (
        "<p>Each run took one drill edge, new or reground, at one speed, feed and pecking, and "
        "drilled test holes while the load of the spindle was recorded. Holes and their peak loads "
        "were found in that record. Every so many holes the wear of the edge was measured. A run "
        "ended when the edge was worn, chipped or broke, when holes left their tolerance, when the "
        "load limit was reached, or when a person stopped it early; of a stopped edge only a lower "
        "bound of its life is known, and it counts as such. Load is the spindle's, in per cent of "
        "its rating.</p>"
    )
    return ["<h2>Method</h2>", text]


def _runs(report: Report) -> list[str]:
    rows = [
        (
            str(one.run.number), one.run.drill, words.data(one.run.cutting_data),
            str(one.run.holes),
            words.loads(one.run),
            "not ended" if one.run.end is None else END_MEANS[one.run.end],
            words.life_text(one.life),
        )
        for one in report.runs
    ]  # fmt: skip
    lines = ["<h2>Runs</h2>"]
    lines.append(words.table(("run", "drill", "cutting data", "holes", "load fresh → worn", "end",
                         "holes to wear"), rows))  # fmt: skip
    marks = [
        Marks(f"run {one.run.number}", one.peaks, _SIGNS[place % len(_SIGNS)], joined=False)
        for place, one in enumerate(report.runs)
        if one.peaks
    ][:6]
    if marks:
        lines.append(words.figure(
            scatter(marks, across="hole", up="peak load, % of rating",
                    limit=(report.trial.load_limit_pct, "load limit")),
            "Peak spindle load of the holes"
            + ("; the first six recorded runs." if len(marks) == 6 else ".")
            + " It rises as an edge wears.",
        ))  # fmt: skip
    return lines


def _wear(report: Report) -> list[str]:
    lines = ["<h2>Wear</h2>"]
    marks = [
        Marks(
            f"run {one.run.number}",
            [(reading.hole, reading.largest_mm) for reading in one.run.wear
             if reading.largest_mm is not None],
            _SIGNS[place % len(_SIGNS)],
        )
        for place, one in enumerate(report.runs)
    ]  # fmt: skip
    marks = [one for one in marks if one.points]
    if not marks:
        return [*lines, "<p>No wear was measured.</p>", *_photos(report)]
    limit = report.trial.wear_limit_mm
    lines.append(words.figure(
        scatter(marks[:6], across="hole", up="largest wear, mm",
                limit=(limit, f"limit {words.both(limit, 'mm')}")),
        "Largest wear or chipping seen at each look at the drill. 0.1 mm is 0.0039 in."
        + (" The first six measured runs." if len(marks) > 6 else ""),
    ))  # fmt: skip
    return [*lines, *_photos(report)]


def _photos(report: Report) -> list[str]:
    if not report.photos:
        return []
    pictures = []
    for one in report.photos:
        said = f"Run {one.run} after {one.hole:,} holes."
        if one.width_mm is not None:
            said += f" The picture is {words.both(one.width_mm, 'mm')} wide."
        if one.note:
            said += f" {one.note}"
        data = base64.b64encode(one.jpeg).decode()
        picture = f'<img src="data:image/jpeg;base64,{data}" alt="Drill of run {one.run}">'
        pictures.append(words.figure(picture, said))
    more = report.photos_in_all - len(report.photos)
    rest = f"<p>{more} more photos are in the package of this trial.</p>" if more > 0 else ""
    return ["<h3>Photos of the drills</h3>", f'<div class="photos">{"".join(pictures)}</div>{rest}']


def _life(report: Report) -> list[str]:
    lines = ["<h2>How long an edge lasts</h2>"]
    known = [one for one in report.runs if one.life is not None]
    if not known:
        return [*lines, "<p>Not known: no run has been drilled.</p>"]
    rows = [(str(one.run.number), one.run.drill, words.life_text(one.life),
             "" if one.life is None or report.removed else one.life.why)
            for one in known]  # fmt: skip
    return [*lines, words.table(("run", "drill", "holes to wear", ""), rows)]


def _cost(report: Report) -> list[str]:
    if not _money(report):
        return ["<h2>Cost</h2>", "<p>Prices and rates were left out by the sender.</p>"]
    lines = ["<h2>Cost</h2>"]
    assert report.compared is not None  # noqa: S101 - there is money
    known = [one for one in report.compared.drills if one.cost is not None]
    if not known:
        return [*lines, "<p>Not known: no edge has come to its end yet.</p>"]
    used = [
        part
        for part in PART_NAMES
        if any(one.cost is not None and one.cost.parts[part] > 0 for one in known)
    ]
    rows = [
        (one.drill, f"{one.cost.total:.3f}", *(f"{one.cost.parts[part]:.3f}" for part in used))
        for one in known
        if one.cost is not None
    ]
    head = ("drill", f"{_currency(report)} a hole", *(PART_NAMES[part] for part in used))
    lines.append(words.table(head, rows))
    bars = [Interval(one.drill, one.low, one.cost.total, one.high) for one in known
            if one.cost is not None and one.low is not None and one.high is not None]  # fmt: skip
    if bars:
        lines.append(words.figure(intervals(bars, across=f"cost per hole, {_currency(report)}"),
                             "Cost per hole with its 90 % range."))  # fmt: skip
    return lines


def _recommendation(report: Report) -> list[str]:
    lines = ["<h2>Recommendation</h2>"]
    if report.advice is None or report.drill is None:
        return [*lines, f"<p>{words.safe(report.not_advised)}</p>"]
    data, drill = report.advice.cutting_data, report.trial.drill(report.drill)
    spindle = rpm(data.speed_m_per_min, drill.diameter_mm)
    rows = [
        ("drill", drill.name),
        ("speed", f"{words.both(data.speed_m_per_min, 'm/min')}, {spindle:.0f} /min"),
        ("feed", (f"{words.both(data.feed_mm_per_rev, 'mm/rev')}, "
         f"{words.both(feed_rate_mm_per_min(spindle, data.feed_mm_per_rev), 'mm/min')}")),
        ("pecks", words.pecks(data)),
        ("expected holes to wear", words.spread(report.advice.holes, 0)),
        ("expected worn load", f"{words.spread(report.advice.load_worn_pct, 0)} % of rating"),
        ("stays below the load limit", f"{report.advice.p_safe:.0%} sure"),
    ]  # fmt: skip
    lines.append(words.table(("", ""), rows))
    if not report.removed:
        lines.append(f"<p>{words.safe(report.advice.why)}</p>")
    return lines


def _not_known(report: Report) -> list[str]:
    unknown = []
    for one in report.runs:
        if one.run.end == "stopped":
            unknown.append(f"Run {one.run.number} was stopped early: its edge lasts longer than "
                           f"{one.run.holes} holes, how much longer is not known.")  # fmt: skip
    drilled = [one.run for one in report.runs if one.run.holes]
    open_runs = [one.run for one in report.runs if not one.run.end]
    unknown += words.of_runs("{runs} not ended.", open_runs,
                        ("has", "have"))  # fmt: skip
    unknown += words.of_runs(
        "No wear was measured in {runs}.", [run for run in drilled if not run.wear]
    )
    unknown += words.of_runs("No load was recorded in {runs}.",
                        [run for run in drilled if run.load_fresh_pct is None])  # fmt: skip
    tried = {one.run.drill for one in report.runs}
    unknown += [f"{drill.name} was not drilled with." for drill in report.trial.drills
                if drill.name not in tried]  # fmt: skip
    if report.removed:
        unknown.append(f"Left out by the sender: {', '.join(report.removed)}.")
    unknown.append("Other materials, depths, machines and coolants were not tried.")
    if not report.photos and "photos" not in report.removed:
        unknown.append("No photos were taken of the drills.")
    return ["<h2>What was not known</h2><ul>",
            *(f"<li>{words.safe(text)}</li>" for text in unknown), "</ul>"]  # fmt: skip


def _compared(report: Report) -> list[str]:
    if report.compared is None:
        rows = [(drill.name, *_of_drill(report, drill.name)) for drill in report.trial.drills]
        return [words.table(("drill", "runs", "longest life seen"), rows)]
    return [words.table(
        ("drill", "runs", "holes an edge", f"{_currency(report)} a hole", ""),
        [(one.drill, str(one.runs), words.number(one.holes_per_edge), words.cost_text(one),
          one.verdict) for one in report.compared.drills],
    )]  # fmt: skip


def _of_drill(report: Report, name: str) -> tuple[str, str]:
    runs = [one for one in report.runs if one.run.drill == name]
    longest = max((one.run.holes for one in runs), default=0)
    return str(len(runs)), f"{longest} holes drilled" if longest else "–"


def _sure(report: Report) -> str:
    if report.compared is None or not report.compared.differences:
        return "Drills could not be compared on cost."
    return " ".join(
        f"{words.safe(one.cheaper)} is cheaper than {words.safe(one.dearer)} with a probability of "
        f"{one.p_cheaper:.0%}" + (", which does not tell them apart yet." if one.tie else ".")
        for one in report.compared.differences
    )


def _money(report: Report) -> bool:
    return report.compared is not None


def _currency(report: Report) -> str:
    return report.trial.economics.currency
