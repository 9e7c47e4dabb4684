"""What the live terminal view shows, as lines of text for a terminal of any size.

Only drawing: no terminal, no thread, no clock. Colour never says anything that words do not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.text import Text

from trials import units

if TYPE_CHECKING:
    from trials.workbench import Progress

_BLOCKS = "▁▂▃▄▅▆▇█"
_LETTERS = {
    "A": ("▄▀▀▄", "█▄▄█", "█  █"),
    "L": ("█   ", "█   ", "█▄▄▄"),
    "R": ("█▀▀▄", "█▄▄▀", "█  █"),
    "M": ("█▄ ▄█", "█ ▀ █", "█   █"),
}
_NARROW, _LOW = 56, 18
_MOST_ALARMS = 3
_LEAST_SPAN_PCT = 15.0  # of the trend, so that noise does not look like a trend


@dataclass(frozen=True, slots=True)
class Head:
    """What stays the same: whose recording, from where, its load limit in %."""

    trial: str
    run: int
    source: str
    limit_pct: float


@dataclass(frozen=True, slots=True)
class Look:
    """How to draw.

    Args:
        width, height: of the terminal, characters and lines.
        told_s: how long ago the recording told how it stands.
        paused: the view is paused; ``message`` is shown beside the keys.
        blocks: the terminal can show block characters; plain ASCII otherwise.
    """

    width: int = 80
    height: int = 24
    told_s: float = 0.0
    paused: bool = False
    message: str = ""
    blocks: bool = True


def draw(head: Head, progress: Progress | None, look: Look) -> list[Text]:
    """The whole view, at most as wide and as high as the terminal."""
    if progress is None:
        lines = [_title(head), Text(""), Text("Waiting for the first values …")]
    else:
        alarm = _alarm(progress, look)
        body = [*_load(head, progress, look), Text(""), *_holes(progress)]
        link = [Text(""), *_link(progress, look)]
        used = 1 + len(alarm) + len(body) + len(link) + 2 + 3
        rows = min(8, look.height - used - 2)
        chart = _trend(head, progress, look, rows) if rows >= 2 else []
        lines = [_title(head), *alarm, Text(""), *body, *chart, *link]
    keys = _keys(progress, look)
    lines = [*lines[: max(0, look.height - len(keys) - 1)], Text(""), *keys][: look.height]
    for line in lines:
        line.truncate(look.width, overflow="ellipsis")
    return lines


def _title(head: Head) -> Text:
    return Text.assemble((f"Run {head.run} of {head.trial}", "bold"), f"   {head.source}")


def _alarm(progress: Progress, look: Look) -> list[Text]:
    """Alarms that stand, in letters that are seen from the machine when there is room."""
    if not progress.alarms:
        return []
    lines: list[Text] = []
    style = "bold white on red"
    bar = Text(" " * look.width, style=style)
    if look.blocks and look.width >= _NARROW - 16 and look.height >= _LOW:
        for row in range(3):
            big = "  ".join(_LETTERS[letter][row] for letter in "ALARM")
            lines.append(Text(f"  {big}".ljust(look.width), style=style))
    else:
        lines.append(Text("  !! ALARM !!".ljust(look.width), style=style))
    lines = [Text(""), bar, *lines, bar.copy()]
    for alarm in reversed(progress.alarms[-_MOST_ALARMS:]):
        lines += _wrapped(alarm.text, look.width, "bold red")
    if len(progress.alarms) > _MOST_ALARMS:
        lines.append(Text(f"and {len(progress.alarms) - _MOST_ALARMS} more"))
    return lines


def _wrapped(text: str, width: int, style: str) -> list[Text]:
    lines, line = [], ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > width:
            lines.append(Text(line, style=style))
            line = word
        else:
            line = f"{line} {word}".strip()
    return [*lines, Text(line, style=style)]


def _load(head: Head, progress: Progress, look: Look) -> list[Text]:
    limit, load = head.limit_pct, progress.newest_load_pct
    fresh = _fresh(progress, look)
    scale = max(100.0, 1.25 * limit)
    said = "—" if load is None or not fresh else units.show(load, "%")
    over = load is not None and fresh and load > limit
    line = Text.assemble("Load ", (f"{said:>8}", "bold red" if over else "bold"),
                         f"   limit {units.show(limit, '%')}")  # fmt: skip
    if over:
        line.append("   OVER THE LIMIT", style="bold red")
    elif load is not None and not fresh:
        line.append(f"   last value was {units.show(load, '%')}", style="yellow")
    width = max(10, min(look.width - 2, 100))
    filled = 0 if load is None or not fresh else round(width * min(load, scale) / scale)
    mark = min(width - 1, round(width * limit / scale))
    full, empty, limit_mark = ("█", "░", "┃") if look.blocks else ("#", ".", "|")
    style = "red" if over else "yellow" if load is not None and load > 0.9 * limit else "green"
    bar = Text("[")
    for place in range(width):
        if place == mark:
            bar.append(limit_mark, style="bold magenta")
        else:
            bar.append(full if place < filled else empty, style if place < filled else "dim")
    return [line, bar.append("]")]


def _fresh(progress: Progress, look: Look) -> bool:
    return not progress.stale and progress.broken is None and look.told_s < 3.0


def _holes(progress: Progress) -> list[Text]:
    last = f"   last peak {units.show(progress.peaks_pct[-1], '%')}" if progress.peaks_pct else ""
    lines = [Text.assemble("Holes ", (f"{progress.holes}", "bold"), last)]
    now = progress.current
    if now is not None:
        text = (
            f"Hole {now.number} since {now.elapsed_s:.1f} s, "
            f"peak so far {units.show(now.peak_pct, '%')}"
        )
        lines.append(Text(text))
    else:
        lines.append(Text("Between holes", style="dim"))
    return lines


def _trend(head: Head, progress: Progress, look: Look, rows: int) -> list[Text]:
    """Peaks of the holes, the newest on the right, with the limit where it is near."""
    peaks = progress.peaks_pct
    if len(peaks) < 2:
        return []
    label = 7
    columns = max(4, min(look.width - label - 1, 100))
    shown = list(peaks[-columns:])
    low, high = min(shown), max(shown)
    top = head.limit_pct if head.limit_pct < 1.6 * high else high
    top = max(top, high) * 1.02
    bottom = max(0.0, min(low - 0.5 * (high - low) - 1.0, top - _LEAST_SPAN_PCT))
    step = (top - bottom) / rows
    lines = [Text(""), Text(f"Peak of holes {progress.holes - len(shown) + 1} to {progress.holes}")]
    for row in range(rows - 1, -1, -1):
        floor = bottom + row * step
        limit_here = floor <= head.limit_pct < floor + step
        name = units.show(floor + step if row == rows - 1 else floor, "%")
        if limit_here:
            name = "limit"
        edge = row in (0, rows - 1) or limit_here
        line = Text(f"{name if edge else '':>{label - 1}} ")
        for peak in shown:
            part = (peak - floor) / step
            if part <= 0:
                line.append(("┄" if look.blocks else "-") if limit_here else " ", style="magenta")
            else:
                style = "red" if peak > head.limit_pct else "cyan"
                line.append(_block(part, look.blocks), style=style)
        lines.append(line)
    return lines


def _block(part: float, blocks: bool) -> str:
    if not blocks:
        return "*" if part <= 1 else "|"
    return _BLOCKS[min(7, int(part * 8))] if part < 1 else "█"


def _link(progress: Progress, look: Look) -> list[Text]:
    """How the link is; never "fine" when nothing comes."""
    age_s = None if progress.silent_s is None else progress.silent_s + look.told_s
    ago = "" if age_s is None else f", newest {age_s:.1f} s ago"
    if look.told_s >= 3.0:
        state = Text(f"The recording has not answered for {look.told_s:.0f} s", style="bold red")
    elif progress.broken is not None:
        state = Text(f"No values: {progress.broken}{ago}", style="bold red")
    elif progress.stale:
        state = Text(f"Link stale: nothing new{ago}", style="bold red")
    else:
        state = Text(f"Values come, {progress.rate_per_s:,.0f} a second{ago}")
    rejected = f"rejected {progress.rejected:,}"
    counts = Text.assemble(
        f"samples {progress.samples:,}   ",
        (rejected, "yellow" if progress.rejected else ""),
        f"   gaps {progress.gaps}   {duration(progress.time_s)}",
    )
    lines = [Text.assemble("Link  ", state), counts]
    if progress.trouble:
        lines += _wrapped(f"! {progress.trouble}", look.width, "yellow")
    return lines


def duration(seconds: float) -> str:
    """``1:02:03`` for 3723 s."""
    whole = int(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _keys(progress: Progress | None, look: Look) -> list[Text]:
    keys = ["p go on with the view" if look.paused else "p pause the view"]
    if progress is not None and progress.alarms:
        keys.append("a acknowledge")
    keys.append("Ctrl-C end the recording")
    lines = []
    if look.paused:
        samples = 0 if progress is None else progress.samples
        said = f" VIEW PAUSED - the recording goes on: {samples:,} samples "
        lines.append(Text(said, style="reverse"))
    if look.message:
        lines.append(Text(look.message, style="yellow"))
    return [*lines, Text("   ".join(keys), style="dim")]


def spark(values: Sequence[float], width: int, *, blocks: bool = True) -> str:
    """Values as a row of ``width`` characters, higher for higher; peaks are kept."""
    if not len(values):
        return ""
    marks = _BLOCKS if blocks else "_.-=+*#@"
    count = min(width, len(values))
    parts = [
        max(values[len(values) * i // count : max(len(values) * i // count + 1,
                                                  len(values) * (i + 1) // count)])
        for i in range(count)
    ]  # fmt: skip
    low, high = min(parts), max(parts)
    if high == low:
        return marks[0] * count
    return "".join(marks[min(7, int(8 * (part - low) / (high - low)))] for part in parts)
