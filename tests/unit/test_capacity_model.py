"""The queues behind the capacity table against formulas of queueing theory.

Formulas from memory: mean wait of M/D/1 (Pollaczek-Khinchine) and of M/M/c (Erlang C), as any
textbook of the subject has them.
"""

from __future__ import annotations

import itertools
import math
import random

import pytest

from tests.benchmarks.capacity import table
from tests.benchmarks.capacity.costs import Costs
from tests.benchmarks.capacity.model import Work, most, senders_wait, viewers_wait, waits
from tests.benchmarks.capacity.table import markdown

COUNT = 100_000


def poisson(rate: float, draw: random.Random) -> list[float]:
    return list(itertools.accumulate(draw.expovariate(rate) for _ in range(COUNT)))


def test_one_server_with_even_service() -> None:
    busy, service_s = 0.6, 0.01
    found = waits(poisson(busy / service_s, random.Random(1)), lambda: service_s, 1)
    assert found.mean() == pytest.approx(busy * service_s / (2 * (1 - busy)), rel=0.05)


@pytest.mark.parametrize("servers", [2, 4])
def test_several_servers_with_scattered_service(servers: int) -> None:
    busy, service_s = 0.7, 0.01
    draw = random.Random(2)
    load = busy * servers
    top = load**servers / math.factorial(servers) / (1 - busy)
    p_wait = top / (sum(load**k / math.factorial(k) for k in range(servers)) + top)
    wait_s = p_wait * service_s / (servers * (1 - busy))
    found = waits(poisson(load / service_s, draw), lambda: draw.expovariate(1 / service_s), servers)
    assert found.mean() == pytest.approx(wait_s, rel=0.08)


def test_an_idle_server_answers_at_once_and_a_busy_one_late() -> None:
    work = Work()
    half, most_s = senders_wait(1, work, [0.004], 0.001, seconds=300)
    assert (half, most_s) == (0.001, 0.004)
    few, many = (senders_wait(n, work, [0.02], 0.02, seconds=60)[1] for n in (10, 480))
    assert few < many


def test_viewers_share_one_server() -> None:
    # A closed queue with even service: n pages of s seconds each, pause z, answer after n s - z
    # once the server is never idle.
    work = Work(viewer_every_s=0.25)
    assert viewers_wait(1, work, 0.04) < 0.055
    assert viewers_wait(50, work, 0.04) == pytest.approx(50 * 0.04 - 0.25, rel=0.1)


def test_the_largest_number_that_holds() -> None:
    for limit in (0, 1, 2, 17, 1000):
        assert most(lambda n, upto=limit: n <= upto) == limit  # type: ignore[misc]


def test_twice_the_machines_ask_twice_as_much(monkeypatch: pytest.MonkeyPatch) -> None:
    # The queues are tested above, and take seconds.
    monkeypatch.setattr(table, "senders_wait", lambda n, *_, **__: (0.001 * n, 0.002 * n))
    monkeypatch.setattr(table, "viewers_wait", lambda n, *_: 0.01 * n)
    share = {10: 0.01, 100: 0.02, 1000: 0.1}
    costs = Costs(share, {10: 60.0, 100: 30.0, 1000: 20.0}, {10: 1e5, 100: 1e6, 1000: 1e7}, 0.01,
                  [0.002, 0.004], 0.02, 0.01, 0.0005, 2, 800.0, 2.0, 1.0, 4e5)  # fmt: skip
    text = markdown(costs, Work(), "an invented computer")
    lines = [line.split("|") for line in text.splitlines() if "|" in line]
    rows = {cells[1].strip(): [one.strip() for one in cells[2:-1]] for cells in lines}
    # 1,000 machines x 57,600 s / 12 s, by hand.
    assert rows["holes a day"] == ["48,000", "48,000", "480,000", "480,000", "4,800,000",
                                   "4,800,000"]  # fmt: skip
    assert rows["cores, if all loggers ran on one computer"][-1] == "20"
    assert rows["PostgreSQL's connections, 100 by default"][0] == "48 stations"
    assert rows["99 % of sends answered within 1 s (simulated)"][0] == "499 stations"
    # 0.7 x 2 cores / (1/12 x 3 ms + (1/5 - 1/12) x 0.5 ms) = 4,541 stations.
    assert rows["PostgreSQL's cores"][0] == "4,541 stations"
