"""All processes that may be looked at while the optimizer is worked on."""

from __future__ import annotations

from tests.benchmarks.optimizer.further_processes import FURTHER_PROCESSES
from tests.benchmarks.optimizer.later_processes import LATER_PROCESSES
from tests.benchmarks.optimizer.more_processes import MORE_PROCESSES
from tests.benchmarks.optimizer.newer_processes import NEWER_PROCESSES
from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.processes import PROCESSES

KNOWN: tuple[type[Process], ...] = (
    *PROCESSES, *MORE_PROCESSES, *FURTHER_PROCESSES, *LATER_PROCESSES, *NEWER_PROCESSES,
)  # fmt: skip
