"""A small chart as SVG inside a page: vector on every printer, nothing to load, no script."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 620, 250
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 14, 16, 44


@dataclass(frozen=True, slots=True)
class Marks:
    """Points of one kind: a sign and a name, so that colour is never alone; joined or not."""

    name: str
    points: Sequence[tuple[float, float]]
    sign: str = "●"
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with its range on a named row."""

    name: str
    low: float
    middle: float
    high: float


def scatter(
    marks: Sequence[Marks], *, across: str, up: str, limit: tuple[float, str] | None = None
) -> str:
    """Points against two axes that begin at 0, with a limit as a dashed line."""
    points = [point for one in marks for point in one.points]
    xs = _ticks(max([x for x, _ in points], default=1.0))
    ys = _ticks(max([y for _, y in points] + ([limit[0]] if limit else []), default=1.0))
    body = _axes(xs, ys, across, up)
    if limit is not None:
        y = _y(limit[0], ys)
        body.append(
            f'<line x1="{_LEFT}" x2="{WIDTH - _RIGHT}" y1="{y:.1f}" y2="{y:.1f}" class="limit"/>'
            f'<text x="{WIDTH - _RIGHT}" y="{y - 5:.1f}" class="end">{_safe(limit[1])}</text>'
        )
    for one in marks:
        places = [(_x(x, xs), _y(y, ys)) for x, y in one.points]
        if one.joined and len(places) > 1:
            line = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
            body.append(f'<polyline points="{line}" class="line"/>')
        else:
            body += [f'<text x="{x:.1f}" y="{y + 4:.1f}" class="mark">{one.sign}</text>'
                     for x, y in places]  # fmt: skip
    named = [one for one in marks if one.name and one.points]
    key = "   ".join(f"{'—' if one.joined else one.sign} {one.name}" for one in named)
    body.append(f'<text x="{_LEFT}" y="11">{_safe(key)}</text>')
    return _svg(body, HEIGHT, f"{up} against {across}")


def intervals(rows: Sequence[Interval], *, across: str) -> str:
    """Values with their ranges, one row each, on an axis that begins at 0."""
    left, step = 190, 30
    height = _TOP + step * len(rows) + _BOTTOM
    xs = _ticks(max([row.high for row in rows], default=1.0))
    per = (WIDTH - _RIGHT - left) / xs[-1]
    bottom = _TOP + step * len(rows)
    body = [
        f'<line x1="{left + per * x:.1f}" x2="{left + per * x:.1f}" y1="{_TOP}" y2="{bottom}" '
        f'class="grid"/><text x="{left + per * x:.1f}" y="{bottom + 16}" class="middle">'
        f"{x:g}</text>"
        for x in xs
    ]
    for place, row in enumerate(rows):
        y = _TOP + step * (place + 0.5)
        low, middle, high = (left + per * value for value in (row.low, row.middle, row.high))
        name = row.name if len(row.name) <= 26 else row.name[:25] + "…"
        body.append(
            f'<text x="{left - 8}" y="{y + 4:.1f}" class="end">{_safe(name)}</text>'
            f'<line x1="{low:.1f}" x2="{high:.1f}" y1="{y:.1f}" y2="{y:.1f}" class="range"/>'
            f'<circle cx="{middle:.1f}" cy="{y:.1f}" r="5"/>'
        )
    body.append(f'<text x="{(left + WIDTH) / 2:.0f}" y="{bottom + 34}" class="middle">'
                f"{_safe(across)}</text>")  # fmt: skip
    return _svg(body, height, across)


def _svg(body: Sequence[str], height: float, label: str) -> str:
    return (
        f'<svg viewBox="0 0 {WIDTH} {height:.0f}" role="img" aria-label="{_safe(label)}">'
        + "".join(body)
        + "</svg>"
    )


def _axes(xs: Sequence[float], ys: Sequence[float], across: str, up: str) -> list[str]:
    bottom = HEIGHT - _BOTTOM
    body = []
    for y in ys:
        at = _y(y, ys)
        body.append(
            f'<line x1="{_LEFT}" x2="{WIDTH - _RIGHT}" y1="{at:.1f}" y2="{at:.1f}" class="grid"/>'
            f'<text x="{_LEFT - 6}" y="{at + 4:.1f}" class="end">{y:g}</text>'
        )
    for x in xs:
        body.append(f'<text x="{_x(x, xs):.1f}" y="{bottom + 16}" class="middle">{x:g}</text>')
    middle = (_LEFT + WIDTH - _RIGHT) / 2
    body.append(f'<text x="{middle:.0f}" y="{HEIGHT - 8}" class="middle">{_safe(across)}</text>')
    body.append(
        f'<text transform="translate(13 {(_TOP + bottom) / 2:.0f}) rotate(-90)" class="middle">'
        f"{_safe(up)}</text>"
    )
    return body


def _ticks(highest: float) -> list[float]:
    """Round numbers from 0 to a little above the highest."""
    highest = highest if highest > 0 else 1.0
    raw = highest / 4
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * one for one in (1, 2, 2.5, 5, 10) if power * one >= raw)
    count = math.ceil(highest / step - 1e-9)
    return [round(step * place, 12) for place in range(count + 1)]


def _x(value: float, ticks: Sequence[float]) -> float:
    return _LEFT + (WIDTH - _RIGHT - _LEFT) * value / ticks[-1]


def _y(value: float, ticks: Sequence[float]) -> float:
    bottom = HEIGHT - _BOTTOM
    return bottom - (bottom - _TOP) * value / ticks[-1]


def _safe(text: str) -> str:
    return html.escape(text)
