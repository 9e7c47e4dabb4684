"""How a running shop does, for probes and monitoring systems: no names of people, no prices."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from trials import __version__
from trials.errors import HolewiseError, InputError
from trials.store import HEAD, forward_status, now_utc
from trials.workbench._shop import Shop
from trials.workbench._shop_values import Readiness

if TYPE_CHECKING:
    from collections.abc import Callable

    from trials.workbench._shop_values import LoggerHealth

LOW_BYTES = 2**30  # a day of recording needs up to that
_FULL_BYTES = 50 * 2**20  # nothing can be kept for long any more
EXTRA = 'pip install "holewise[metrics]"'


def readiness(shop: Shop, loggers: Callable[[], LoggerHealth]) -> Readiness:
    """See `trials.workbench.Workbench.ready`."""
    free = shutil.disk_usage(shop.folder.path).free
    disk = "ok" if free >= LOW_BYTES else "low" if free >= _FULL_BYTES else "full"
    try:
        tables = "ok" if shop.store.revision() == HEAD else "other"
        store = "ok"
        at_work = loggers().recordings if tables == "ok" else ()
    except HolewiseError:
        return Readiness("away", "unknown", "unknown", disk)
    stopped = any(one.holder is None for one in at_work)
    stale = any(one.stale for one in at_work)
    return Readiness(store, tables, "stopped" if stopped else "stale" if stale else "ok", disk)


def families(shop: Shop, loggers: Callable[[], LoggerHealth]) -> Iterator[Any]:
    """See `trials.workbench.Workbench.metrics`."""
    try:
        from prometheus_client import core
    except ImportError:
        raise InputError(
            "metrics", got="the library for them is not installed",
            allowed="an installation with the extra metrics", do=f"Install it with: {EXTRA}",
        ) from None  # fmt: skip

    def gauge(name: str, what: str, value: float) -> Any:
        return core.GaugeMetricFamily(f"holewise_{name}", what, value=value)

    yield core.InfoMetricFamily("holewise_program", "Which one answers.", {"version": __version__})
    disk = shutil.disk_usage(shop.folder.path)
    yield gauge("disk_free_bytes", "Room left on the disk of the data folder.", float(disk.free))
    yield gauge("disk_size_bytes", "Size of that disk.", float(disk.total))
    yield from _sending(shop, gauge)
    try:
        same = shop.store.revision() == HEAD
        at_work = loggers().recordings if same else ()
        stations = shop.store.stations() if same else []
    except HolewiseError:
        yield gauge("store_up", "Whether the store answers.", 0.0)
        return
    yield gauge("store_up", "Whether the store answers.", 1.0)
    yield gauge("tables_up_to_date", "Whether its tables are those of this version.", float(same))
    yield gauge("recordings", "Recordings at work.", float(len(at_work)))
    now = now_utc()
    late = core.GaugeMetricFamily(
        "holewise_station_sent_age_seconds", "Since a station brought something last.",
        labels=["station"],
    )  # fmt: skip
    for one in stations:
        late.add_metric([one.name], (now - one.sent_utc).total_seconds())
    yield late
    yield from _recordings(core, at_work)


_OF_RECORDING: tuple[tuple[str, str, str, Any], ...] = (
    ("gauge", "age_seconds", "Since the newest bytes came in.", lambda one: one.age_s),
    ("gauge", "stale", "1 when that is too long for its source.", lambda one: one.stale),
    ("gauge", "logger_up", "1 while a process records it.", lambda one: one.holder is not None),
    ("gauge", "lines_per_second", "Over the newest ten seconds.", lambda one: one.lines_per_s),
    ("gauge", "alarms_standing", "Alarms nobody has acknowledged.", lambda one: len(one.alarms)),
    ("gauge", "journal_bytes", "Size of its journal.", lambda one: one.journal_bytes),
    ("gauge", "behind_bytes", "Journal not yet read by this process.",
     lambda one: one.behind_bytes),
    ("counter", "lines", "Lines so far.", lambda one: one.lines),
    ("counter", "rejected_lines", "Lines that could not be read.",
     lambda one: sum(one.rejected.values())),
    ("counter", "samples", "Values understood.", lambda one: one.samples),
    ("counter", "gaps", "Stretches without values.", lambda one: one.gaps),
)  # fmt: skip


def _recordings(core: Any, at_work: Any) -> Iterator[Any]:
    for kind, name, what, value_of in _OF_RECORDING:
        make = core.GaugeMetricFamily if kind == "gauge" else core.CounterMetricFamily
        family = make(f"holewise_recording_{name}", what, labels=["trial", "run"])
        for one in at_work:
            value = value_of(one)
            if value is not None:
                family.add_metric([one.trial, str(one.run)], float(value))
        yield family


def _sending(shop: Shop, gauge: Callable[..., Any]) -> Iterator[Any]:
    try:
        found = forward_status(shop.folder)
    except HolewiseError:
        return
    if found is None:
        return
    yield gauge("forward_up", "Whether a process sends to the shop.", float(found.by is not None))
    linked = float(bool(found.linked))
    yield gauge("forward_linked", "Whether the shop was reached at the last try.", linked)
    yield gauge("forward_waiting", "Units that wait to be sent.", float(len(found.waiting)))
    yield gauge("forward_lag_seconds", "How long the oldest of them waits.", found.lag_s)
    yield gauge("forward_conflicts", "Differences nobody has looked at.",
                float(len(found.conflicts)))  # fmt: skip
