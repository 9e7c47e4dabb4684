"""What a report says of a trial, put together from what the other answers are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from trials.errors import HolewiseError
from trials.model import NO_CURRENCY, Photo, Run, Trial
from trials.model.plain import from_plain
from trials.optimizer import Suggestion
from trials.sharing import (
    PhotoReported,
    Report,
    RunReported,
    removals,
    report_html,
    without,
)
from trials.store import smaller_photo
from trials.workbench import _costs, _search
from trials.workbench._edits import mended_holes
from trials.workbench._share import content_of
from trials.workbench._shop import Shop

_MOST_PHOTOS = 12
_WIDEST_PX = 900
_MOST_PEAKS = 40  # of a run in a figure: more marks than this lie on top of each other


def report(shop: Shop, name: str, remove: Sequence[str]) -> str:
    """See `trials.workbench.Workbench.report`."""
    before = {one for package in shop.store.taken_in(name) for one in package.removed}
    chosen = removals((*remove, *before))
    with shop.store.packing(name) as packed:
        plain = without(content_of(shop, packed, traces=False), chosen).plain
        trial = packed.stored.trial
    if "prices" in chosen:
        plain = {**plain, "economics": {"machine_rate_per_min": 0.0, **plain["economics"],
                                        "currency": NO_CURRENCY}}  # fmt: skip
    shown = from_plain(Trial, plain, name)
    other = dict(zip((one.name for one in trial.drills), (one.name for one in shown.drills),
                     strict=True))  # fmt: skip
    runs = [stored.run for stored in shop.store.runs(name)]
    money = "prices" not in chosen
    compared = _costs.comparison(trial, runs, None).found if money else None
    drill, advice, why = _advice(trial, runs)
    if compared is not None:
        compared = replace(
            compared,
            drills=tuple(replace(one, drill=other[one.drill]) for one in compared.drills),
            differences=tuple(
                replace(one, cheaper=other[one.cheaper], dearer=other[one.dearer])
                for one in compared.differences
            ),
        )
    return report_html(
        Report(
            shown,
            tuple(_run(shop, trial, run, other) for run in runs),
            compared,
            None if drill is None else other[drill],
            advice,
            "Not enough is known for a recommendation." if chosen else why,
            chosen,
            *_photos(shop, name, chosen),
        )
    )


def _photos(shop: Shop, name: str, chosen: Sequence[str]) -> tuple[tuple[PhotoReported, ...], int]:
    """The first and the last photo of each run, small enough to be read with the page."""
    if "photos" in chosen:
        return (), 0
    photos = shop.store.photos(name)
    of_run: dict[int, list[Photo]] = {}
    for one in photos:
        of_run.setdefault(one.run, []).append(one)
    picked = [one for own in of_run.values() for one in dict.fromkeys((own[0], own[-1]))]
    found = tuple(
        PhotoReported(
            one.run, one.hole,
            smaller_photo(shop.photo(one.sha256), _WIDEST_PX),
            "" if "notes" in chosen else one.note,
            None if one.mm_per_pixel is None else one.mm_per_pixel * one.width_px,
        )
        for one in picked[:_MOST_PHOTOS]
    )  # fmt: skip
    return found, len(photos)


def _run(shop: Shop, trial: Trial, run: Run, other: dict[str, str]) -> RunReported:
    holes = mended_holes(shop, trial.name, run.number)
    step = max(1, -(-len(holes) // _MOST_PEAKS))
    peaks = holes[["number", "peak_pct"]].iloc[::step].itertuples(index=False)
    return RunReported(
        replace(run, drill=other[run.drill]),
        _costs.holes_to_wear(trial, run) if run.holes else None,
        tuple((float(number), float(peak)) for number, peak in peaks),
    )


def _advice(trial: Trial, runs: list[Run]) -> tuple[str | None, Suggestion | None, str]:
    """The drill that did best on cost, with cutting data for production; or why there is none."""
    known = [one for one in _costs.compare(trial, runs) if one.cost is not None]
    if not known:
        return None, None, "No edge has come to its end yet, so nothing can be recommended."
    drill = known[0].drill
    try:
        return drill, _search.ask(trial, runs, drill, "recommend"), ""
    except HolewiseError as error:
        return None, None, str(error)
