"""An invented drilling machine: a process of its own that talks over TCP or a pseudo-terminal.

It exists to show and to test the rest of the program on a stream that behaves like a machine's.
No number in it was measured on a real one, and nothing it says is advice on cutting data.

The physics (`ProcessTruth`, `drill_holes`) is pure; talking (``python -m trials.simulator``) is
kept apart. `SimulatorProcess` starts that command and reads the address it talks on.
"""

from trials.simulator.arguments import Command
from trials.simulator.child import SimulatorProcess
from trials.simulator.drilling import DrilledHole, HoleLabel, Job, Watch, drill_holes
from trials.simulator.files import Note, read_notes
from trials.simulator.process_truth import ProcessTruth, invented_process
from trials.simulator.spindle import Signal

__all__ = [
    "Command",
    "DrilledHole",
    "HoleLabel",
    "Job",
    "Note",
    "ProcessTruth",
    "Signal",
    "SimulatorProcess",
    "Watch",
    "drill_holes",
    "invented_process",
    "read_notes",
]
