"""What a shop of so many machines asks of each part, from the costs of one unit of work."""

from __future__ import annotations

import heapq
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

BUSY = 0.7  # above it queues grow steeply, and nothing is left for a bad hour


@dataclass(frozen=True, slots=True)
class Work:
    """How a machine works, and what the shop's computers are; invented: put in one's own.

    Args:
        hours_a_day, days_a_year: while something is recorded.
        hole_every_s: from one hole to the next.
        forward_every_s: ``holewise forward --every``.
        cores: of each computer.
        viewer_every_s: the page beside a machine asks again so long after an answer.
    """

    hours_a_day: float = 16.0
    days_a_year: float = 250.0
    hole_every_s: float = 12.0
    forward_every_s: float = 5.0
    cores: int = 2
    viewer_every_s: float = 0.25

    @property
    def day_s(self) -> float:
        """Seconds that are recorded in a day."""
        return self.hours_a_day * 3600.0

    @property
    def sends_per_s(self) -> float:
        """Rounds of one sender that bring a hole, a second."""
        return min(1.0 / self.hole_every_s, 1.0 / self.forward_every_s)

    @property
    def looks_per_s(self) -> float:
        """Rounds of one sender that find nothing new, a second."""
        return max(0.0, 1.0 / self.forward_every_s - self.sends_per_s)


def waits(
    arrivals: Iterable[float], service: Callable[[], float], servers: int
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Waiting times, s, of a queue where the first to come is served first by whoever is free.

    Args:
        arrivals: times, s, rising.
        service: gives how long the next one takes, s.
        servers: how many work beside each other.
    """
    free = [0.0] * servers
    found = []
    for arrival in arrivals:
        begin = max(arrival, heapq.heappop(free))
        heapq.heappush(free, begin + service())
        found.append(begin - arrival)
    return np.array(found)


def senders_wait(
    machines: int, work: Work, send_s: Sequence[float], look_s: float, *,
    seconds: float = 600.0, seed: int = 1,
) -> tuple[float, float]:  # fmt: skip
    """Median and 99 % of the time until a sender is answered, s, with ``machines`` of them.

    Each looks every `Work.forward_every_s` from a moment of its own, and sends where a hole was
    finished since; the server's cores serve whoever came first.

    Args:
        send_s: measured times of the server for one send; drawn from, one by one.
        look_s: of a look that finds nothing.
    """
    draw = random.Random(seed)
    rounds: list[tuple[float, bool]] = []
    share = work.sends_per_s * work.forward_every_s
    for _ in range(machines):
        moment = draw.uniform(0, work.forward_every_s)
        while moment < seconds:
            rounds.append((moment, draw.random() < share))
            moment += work.forward_every_s * draw.uniform(0.98, 1.02)
    rounds.sort()
    served = [draw.choice(send_s) if sends else look_s for _, sends in rounds]
    times = iter(served)
    late = waits((moment for moment, _ in rounds), lambda: next(times), work.cores)
    answers = late + np.array(served)
    late_half = answers[len(answers) // 4 :]  # after it has settled
    return float(np.median(late_half)), float(np.quantile(late_half, 0.99))


def viewers_wait(
    viewers: int, work: Work, answer_s: float, *, seconds: float = 120.0, seed: int = 1
) -> float:
    """95 % of the times until a live page is answered, s, with so many pages open.

    One after the other is answered; each page asks again a pause after its answer.
    """
    draw = random.Random(seed)
    asking = [(draw.uniform(0, work.viewer_every_s), one) for one in range(viewers)]
    heapq.heapify(asking)
    free_s = 0.0
    found = []
    while asking[0][0] < seconds:
        asked_s, one = heapq.heappop(asking)
        free_s = max(free_s, asked_s) + answer_s * draw.uniform(0.7, 1.3)
        found.append(free_s - asked_s)
        heapq.heappush(asking, (free_s + work.viewer_every_s, one))
    return float(np.quantile(found[len(found) // 4 :], 0.95))


def most(holds: Callable[[int], bool], upto: int = 1 << 20) -> int:
    """The largest number for which something holds that ceases to hold as it grows."""
    low, high = 0, 1
    while high < upto and holds(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
