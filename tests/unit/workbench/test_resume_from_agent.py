"""Going on with a recording from an agent: its buffer has what came in while no logger ran."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.helpers.agent import Agent
from tests.helpers.example_trial import START, example_trial
from trials.logger import LineFormat, Mapping
from trials.workbench import Progress, Workbench

FORMAT, MAPPING = LineFormat("shdr"), Mapping.parse("load=S1load")
TIMES = [f"2026-01-31T08:00:{second:02d}Z" for second in range(60)]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        bench.plan_run("bracket", START)
        yield bench


def record(bench: Workbench, agent: Agent, samples: int, *, resume: bool = False) -> None:
    """Record until so many samples are there in all."""
    stop = threading.Event()
    giving_up = threading.Timer(10, stop.set)
    giving_up.start()

    def enough(progress: Progress) -> None:
        if progress.samples >= samples:
            stop.set()

    try:
        bench.record("bracket", 1, agent.url, line_format=FORMAT, mapping=MAPPING, stop=stop,
                     on_progress=enough, resume=resume)  # fmt: skip
    finally:
        giving_up.cancel()


def interrupted(bench: Workbench, agent: Agent, meanwhile: Callable[[], None]) -> list[float]:
    """Loads of a recording that was stopped after three values, and went on after the rest."""
    for second in range(3):
        agent.observe("load1", 10 + second, TIMES[second])
        if second == 0:
            begun = threading.Thread(target=record, args=(bench, agent, 3))
            begun.start()
            while len(agent.questions) < 3:
                begun.join(0.01)
    begun.join()
    meanwhile()
    record(bench, agent, 7, resume=True)
    return bench.trace("bracket", 1)["load_pct"].tolist()


def test_what_the_agent_kept_is_asked_for(bench: Workbench) -> None:
    with Agent() as agent:

        def drilled_on() -> None:
            for second in range(3, 7):
                agent.observe("load1", 10 + second, TIMES[second])

        assert interrupted(bench, agent, drilled_on) == [10, 11, 12, 13, 14, 15, 16]
    assert bench.gaps("bracket", 1) == []


def test_what_its_buffer_lost_is_a_gap(bench: Workbench) -> None:
    with Agent(buffer=10) as agent:

        def drilled_on() -> None:
            for second in range(3, 20):
                agent.observe("load1", 10 + second, TIMES[second])

        assert interrupted(bench, agent, drilled_on) == [10, 11, 12, *range(20, 30)]
    (gap,) = bench.gaps("bracket", 1)
    assert gap.reason.startswith("the agent's buffer overran: 7 observations lost")


def test_an_agent_that_was_restarted_meanwhile_is_a_gap(bench: Workbench) -> None:
    begun: list[threading.Thread] = []
    with Agent() as agent:

        def restarted() -> None:
            agent.restart(instance=2)
            agent.observe("load1", 50, TIMES[10])
            begun.append(threading.Thread(target=go_on, args=(len(agent.questions),), daemon=True))
            begun[0].start()

        def go_on(asked: int) -> None:
            while len(agent.questions) < asked + 3:  # until it is listened to again
                time.sleep(0.01)
            for n in range(1, 4):
                agent.observe("load1", 50 + n, TIMES[10 + n])

        assert interrupted(bench, agent, restarted) == [10, 11, 12, 50, 51, 52, 53]
        begun[0].join()
    (gap,) = bench.gaps("bracket", 1)
    assert gap.reason.startswith("the agent was started anew; what came between is not known")
