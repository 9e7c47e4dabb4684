"""The table of capacity as Markdown: unit costs, what shops ask, and where each part is full."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from tests.benchmarks.capacity.costs import Costs
from tests.benchmarks.capacity.model import BUSY, Work, most, senders_wait, viewers_wait

MACHINES = (10, 100, 1000)
RATES = (10, 100)
SERVER_LINKS = 97  # PostgreSQL's default of 100, less three that it keeps for its keeper
NIGHT_S = 8 * 3600.0
GIB, TIB, MBIT = 2.0**30, 2.0**40, 1e6 / 8
VIEWER_WAIT_S, SENDER_WAIT_S = 0.5, 1.0


def markdown(costs: Costs, work: Work, computer: str) -> str:
    """The three tables with a sentence before each."""
    columns = [(machines, rate) for machines in MACHINES for rate in RATES]
    return "\n\n".join(
        (
            f"Measured on {computer}:",
            _table(("one unit of work", "costs"), _units(costs)),
            (f"A machine is taken to record {work.hours_a_day:g} hours a day on "
            f"{work.days_a_year:g} days a year and to drill a hole every {work.hole_every_s:g} s; "
            f"its sender looks every {work.forward_every_s:g} s; each computer has {work.cores} "
            "cores. All of that is invented; other values are options of the command. What such "
            "shops ask:"),
            _table(("machines, values a second", *(f"{m:,}, {r}" for m, r in columns)),
                   _asked(costs, work, columns)),
            f"Where each part is full, at {BUSY:.0%} of what it can do:",
            _table(("part", "full at", "moved by"), _full(costs, work)),
        )
    )  # fmt: skip


def _units(costs: Costs) -> Iterable[Sequence[str]]:
    slope = (costs.logger_share[1000] - costs.logger_share[100]) / 900
    for rate, share in costs.logger_share.items():
        yield f"logger with its keeper at {rate:,} values a second", f"{share:.1%} of a core"
    yield "logger, 1,000 lines more", f"{slope * 1e6:.0f} ms of a core"
    for rate in RATES:
        yield f"journal, a line at {rate} a second", f"{costs.line_bytes[rate]:.0f} bytes"
        per_hour = costs.trace_bytes_an_hour[rate]
        yield f"trace, an hour at {rate} a second", f"{per_hour / 2**20:.2f} MiB"
    yield "rows of one hole in PostgreSQL, with indexes", f"{costs.hole_bytes:.0f} bytes"
    yield (
        "sending one new hole",
        (
            f"{np.mean(costs.send_s) * 1e3:.1f} ms of the server, "
            f"{costs.station_s * 1e3:.0f} ms of the station, "
            f"{costs.send_wall_s * 1e3:.0f} ms by the clock"
        ),
    )
    yield "a look when nothing is new", f"{costs.look_s * 1e3:.2f} ms of the server"
    yield "connections that a sender holds", f"{costs.links}"
    yield "an answer of the page beside a machine", f"{costs.live_s * 1e3:.0f} ms of a core"
    yield (
        "backup of files, a GiB",
        f"{costs.copy_s_a_gib:.1f} s the first time, {costs.again_s_a_gib:.1f} s when unchanged",
    )
    yield "backup of rows", f"{costs.rows_a_s:,.0f} a second"


def _asked(costs: Costs, work: Work, columns: Sequence[tuple[int, int]]) -> Iterable[Sequence[str]]:
    traces = [m * costs.trace_bytes_an_hour[r] * work.hours_a_day for m, r in columns]
    journals = [costs.line_bytes[r] * r * work.day_s / 2**20 for _, r in columns]
    holes = [m * work.day_s / work.hole_every_s for m, _ in columns]
    rows: dict[str, list[float]] = {
        "cores, if all loggers ran on one computer":
            [m * costs.logger_share[r] for m, r in columns],
        "journals a day at each machine, MiB": journals,
        "traces a day, GiB": [one / GIB for one in traces],
        "traces a year, TiB": [one * work.days_a_year / TIB for one in traces],
        "to an object store and back, Mbit a second": [2 * t / work.day_s / MBIT for t in traces],
        "holes a day": holes,
        "PostgreSQL grows a year, GiB":
            [one * work.days_a_year * costs.hole_bytes / GIB for one in holes],
        "sends and looks a second": [m / work.forward_every_s for m, _ in columns],
        "share of the server's cores, %":
            [100 * m * _server_s(costs, work) / work.cores for m, _ in columns],
        "connections to PostgreSQL": [float(m * costs.links) for m, _ in columns],
        "first backup of a year, hours":
            [_backup_s(costs, work, m, r, again=False) / 3600 for m, r in columns],
        "next backup, little new, hours":
            [_backup_s(costs, work, m, r, again=True) / 3600 for m, r in columns],
    }  # fmt: skip
    for what, values in rows.items():
        yield what, *(_short(one) for one in values)
    yield (
        "a sender is answered, ms: half, 99 % (simulated)",
        *(_late(costs, work, machines) for machines, _ in columns),
    )


def _short(value: float) -> str:
    """Two digits that matter, and no more of the rest than must be written."""
    if value >= 100 or value == round(value):
        return f"{value:,.0f}"
    return f"{float(f'{value:.2g}'):g}"


def _server_s(costs: Costs, work: Work) -> float:
    """Seconds of the server's processor that one machine takes in a second."""
    return work.sends_per_s * float(np.mean(costs.send_s)) + work.looks_per_s * costs.look_s


def _late(costs: Costs, work: Work, machines: int) -> str:
    if machines * _server_s(costs, work) >= work.cores:
        return "never"
    half, most_s = senders_wait(machines, work, costs.send_s, costs.look_s)
    return f"{half * 1e3:.1f}, {most_s * 1e3:.0f}"


def _backup_s(costs: Costs, work: Work, machines: int, rate: int, *, again: bool) -> float:
    gib = machines * costs.trace_bytes_an_hour[rate] * work.hours_a_day * work.days_a_year / GIB
    holes = machines * work.day_s / work.hole_every_s * work.days_a_year
    return gib * (costs.again_s_a_gib if again else costs.copy_s_a_gib) + holes / costs.rows_a_s


def _full(costs: Costs, work: Work) -> Iterable[Sequence[str]]:
    def each(value: dict[int, float], unit: str) -> str:
        return ", ".join(f"{one:,.0f} {unit} at {rate} a second" for rate, one in value.items())

    room = BUSY * work.cores
    yield (
        "one computer for many loggers",
        each({rate: room / costs.logger_share[rate] for rate in RATES}, "loggers"),
        "a computer at each machine; fewer values from the source",
    )
    days = {r: 100 * GIB / (costs.line_bytes[r] * r * work.day_s) for r in RATES}
    yield (
        "100 GiB for journals at a station", each(days, "days"),
        "a larger disk; journals of runs that nobody will rebuild may be moved away",
    )  # fmt: skip
    yield (
        "PostgreSQL's connections, 100 by default",
        f"{SERVER_LINKS // costs.links} stations",
        "`max_connections` of the server, at some MiB each",
    )
    cores = room / _server_s(costs, work)
    yield (
        "PostgreSQL's cores", f"{cores:,.0f} stations",
        "`holewise forward --every`; more cores",
    )  # fmt: skip
    held = most(
        lambda n: (
            n * _server_s(costs, work) < work.cores
            and senders_wait(n, work, costs.send_s, costs.look_s, seconds=60)[1] < SENDER_WAIT_S
        )
    )
    yield (
        f"99 % of sends answered within {SENDER_WAIT_S:g} s (simulated)", f"{held:,} stations",
        "the same; an alarm waits for none of it",
    )  # fmt: skip
    per_s = {r: costs.trace_bytes_an_hour[r] / 3600 * 2 for r in RATES}
    yield (
        "100 Mbit a second to the object store",
        each({rate: BUSY * 100 * MBIT / one for rate, one in per_s.items()}, "machines"),
        "the network; sending at night, as nothing waits for it",
    )
    years = 1024 * GIB / (work.day_s / work.hole_every_s * work.days_a_year * costs.hole_bytes)
    yield (
        "1 TiB for PostgreSQL", f"{years:,.0f} machines times years",
        "a larger disk",
    )  # fmt: skip
    watched = most(lambda n: viewers_wait(n, work, costs.live_s) <= VIEWER_WAIT_S, upto=4096)
    yield (
        f"pages beside machines answered within {VIEWER_WAIT_S:g} s (95 %, simulated)",
        f"{watched} pages, each of another machine, on one dashboard",
        (
            "more dashboards over the same server, one at each machine; pages of one machine share "
            "their work"
        ),
    )
    nights = {
        rate: most(lambda n, r=rate: _backup_s(costs, work, n, r, again=False) <= NIGHT_S)  # type: ignore[misc]  # the default holds the rate
        for rate in RATES
    }
    yield (
        "first backup of a year within a night of 8 hours",
        each({rate: float(one) for rate, one in nights.items()}, "machines"),
        "`holewise backup --leave-objects`; PostgreSQL's own backup beside it",
    )


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)
