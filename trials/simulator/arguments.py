"""The simulator's command line, in both directions: reading arguments and writing them."""

from __future__ import annotations

import argparse
from dataclasses import dataclass, field
from pathlib import Path
from typing import get_args

from trials import units
from trials.errors import InputError
from trials.model import (
    ISO_GROUPS,
    PECK_MODES,
    Coating,
    CuttingData,
    Drill,
    HoleFeature,
    Machine,
    Substrate,
    Work,
)
from trials.simulator.drilling import Job, Watch
from trials.simulator.spindle import Signal

CAUTION = (
    "Simulated and advisory: an invented machine, an invented process. No number of it is advice. "
    "Guards closed; the drill maker's and the machine's limits and local rules go first; a "
    "qualified person decides."
)


@dataclass(frozen=True, slots=True)
class Command:
    """Everything the simulator is told.

    Args:
        job, watch, signal, seed: see `drill_holes`.
        link: ``pty``, or ``host:port`` for TCP.
        speed_up: times faster than real; 0 sends as fast as the link takes it.
        wait_s: how long to wait for a listener.
        reconnect: wait for another listener when one leaves, and go on with the next line.
        with_depth: send the depth of the tip as well.
        csv, notes, labels: files to write, or None.
    """

    job: Job
    watch: Watch
    signal: Signal = field(default_factory=Signal)
    seed: int = 0
    link: str = "127.0.0.1:0"
    speed_up: float = 1.0
    wait_s: float = 60.0
    reconnect: bool = False
    with_depth: bool = False
    csv: Path | None = None
    notes: Path | None = None
    labels: Path | None = None

    def __post_init__(self) -> None:
        if not (0 <= self.speed_up < 1e9):
            raise InputError("speed-up", got=self.speed_up, allowed="0 or more")


# Option → (unit, default, help). None as default: the option is needed.
_NUMBERS: dict[str, tuple[str, float | None, str]] = {
    "speed": ("m/min", None, "cutting speed"),
    "feed": ("mm/rev", None, "feed"),
    "diameter": ("mm", None, "diameter of drill and hole"),
    "depth": ("mm", None, "depth to the full diameter"),
    "peck-depth-xd": ("", 1.0, "peck depth in drill diameters"),
    "breakthrough-feed-factor": ("", 1.0, "share of the feed for the end of a through hole"),
    "breakthrough": ("mm", 0.0, "length of that end"),
    "point-angle": ("degree", 140.0, "full angle of the drill's point"),
    "rated-power": ("kW", 7.5, "rated power of the machine"),
    "base-rpm": ("", 2000.0, "speed at which rated power is reached, 1/min"),
    "max-rpm": ("", 10_000.0, "highest speed of the machine, 1/min"),
    "rapid": ("mm/min", 20_000.0, "rapid traverse"),
    "max-feed": ("mm/min", 10_000.0, "highest feed rate"),
    "wear-limit": ("mm", 0.3, "the person stops at this wear"),
    "sample-rate": ("", 20.0, "values a second"),
    "filter": ("s", 0.1, "time constant of the drive's filter"),
    "noise": ("", 1.0, "factor on the noise; 0 for none"),
    "speed-up": ("", 1.0, "times faster than real; 0 as fast as the link takes it"),
    "wait": ("s", 60.0, "how long to wait for a listener"),
}


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m trials.simulator", description="An invented drilling machine. " + CAUTION
    )
    link = parser.add_mutually_exclusive_group(required=True)
    link.add_argument("--tcp", metavar="HOST:PORT", help="talk over TCP; port 0 takes any free one")
    link.add_argument("--pty", action="store_true", help="talk over a pseudo-terminal")
    for name, (unit, default, text) in _NUMBERS.items():
        shown = f"{text} ({unit})" if unit else text
        if default is not None:
            shown += f"; {default:g} when left out"
        parser.add_argument(f"--{name}", required=default is None, default=default,
                            metavar=unit or "N", help=shown.replace("%", "%%"))  # fmt: skip
    parser.add_argument("--load-limit", metavar="%", help="the person stops above this load")
    parser.add_argument("--substrate", choices=get_args(Substrate), default="carbide")
    parser.add_argument("--coating", choices=get_args(Coating), default="bright")
    parser.add_argument("--through-coolant", action="store_true", help="coolant through the drill")
    parser.add_argument("--through", action="store_true", help="a through hole")
    parser.add_argument("--group", choices=ISO_GROUPS, default="P", help="ISO 513 group")
    parser.add_argument("--peck-mode", choices=PECK_MODES, default="none")
    parser.add_argument("--holes", type=int, default=50, help="most holes to drill")
    parser.add_argument("--look-every", type=int, default=10,
                        help="holes between looks at the drill")  # fmt: skip
    parser.add_argument("--decimals", type=int, default=1, choices=(0, 1, 2),
                        help="decimals of the load")  # fmt: skip
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--with-depth", action="store_true", help="send the depth of the tip too")
    parser.add_argument("--reconnect", action="store_true",
                        help="wait for another listener when one leaves")  # fmt: skip
    parser.add_argument("--csv", type=Path, help="record the same pass as CSV")
    parser.add_argument("--notes", type=Path, help="what a person with a loupe notes, as CSV")
    parser.add_argument("--labels", type=Path, help="what is true of every hole, as CSV")
    return parser


def read_arguments(arguments: list[str]) -> Command:
    """Read the command line; numbers may carry units ("0.004 in/rev").

    Raises:
        InputError: a value cannot be read, or is outside what is possible.
        SystemExit: an option is unknown or missing (from argparse, with its message).
    """
    given = _parser().parse_args(arguments)
    number = {
        name: units.parse(getattr(given, name.replace("-", "_")), to=unit or "", what=f"--{name}")
        for name, (unit, _, _) in _NUMBERS.items()
    }
    limit = given.load_limit
    return Command(
        job=Job(
            machine=Machine(
                rated_power_kw=number["rated-power"],
                base_rpm=number["base-rpm"],
                max_rpm=number["max-rpm"],
                name="invented machine",
                max_feed_mm_per_min=number["max-feed"],
                rapid_mm_per_min=number["rapid"],
            ),
            work=Work("invented material", given.group),
            hole=HoleFeature(number["diameter"], number["depth"], through=given.through),
            drill=Drill(
                "invented drill",
                number["diameter"],
                substrate=given.substrate,
                coating=given.coating,
                point_angle_deg=number["point-angle"],
                through_coolant=given.through_coolant,
            ),
            cutting_data=CuttingData(
                number["speed"],
                number["feed"],
                given.peck_mode,
                number["peck-depth-xd"],
                number["breakthrough-feed-factor"],
                number["breakthrough"],
            ),
        ),
        watch=Watch(
            holes=given.holes,
            look_every_holes=given.look_every,
            wear_limit_mm=number["wear-limit"],
            load_limit_pct=None if limit is None else units.parse(limit, to="%",
                                                                  what="--load-limit"),
        ),
        signal=Signal(number["sample-rate"], given.decimals, number["filter"], number["noise"]),
        seed=given.seed,
        link="pty" if given.pty else given.tcp,
        speed_up=number["speed-up"],
        wait_s=number["wait"],
        reconnect=given.reconnect,
        with_depth=given.with_depth,
        csv=given.csv,
        notes=given.notes,
        labels=given.labels,
    )  # fmt: skip


def write_arguments(command: Command) -> list[str]:
    """The arguments that ``read_arguments`` reads back; names of machine, work and drill stay out.

    The work's own specific cutting force is not passed on: the process is invented anyway.
    """
    job, watch, signal = command.job, command.watch, command.signal
    data = job.cutting_data
    number = {
        "speed": data.speed_m_per_min,
        "feed": data.feed_mm_per_rev,
        "diameter": job.drill.diameter_mm,
        "depth": job.hole.depth_mm,
        "peck-depth-xd": data.peck_depth_xd,
        "breakthrough-feed-factor": data.breakthrough_feed_factor,
        "breakthrough": data.breakthrough_mm,
        "point-angle": job.drill.point_angle_deg,
        "rated-power": job.machine.rated_power_kw,
        "base-rpm": job.machine.base_rpm,
        "max-rpm": job.machine.max_rpm,
        "rapid": job.machine.rapid_mm_per_min,
        "max-feed": job.machine.max_feed_mm_per_min,
        "wear-limit": watch.wear_limit_mm,
        "sample-rate": signal.sample_hz,
        "filter": signal.filter_s,
        "noise": signal.noise,
        "speed-up": command.speed_up,
        "wait": command.wait_s,
    }
    texts: dict[str, object] = {
        "substrate": job.drill.substrate,
        "coating": job.drill.coating,
        "group": job.work.group,
        "peck-mode": data.peck_mode,
        "holes": watch.holes,
        "look-every": watch.look_every_holes,
        "load-limit": watch.load_limit_pct,
        "decimals": signal.decimals,
        "seed": command.seed,
        "csv": command.csv,
        "notes": command.notes,
        "labels": command.labels,
    }
    switches = {
        "through-coolant": job.drill.through_coolant,
        "through": job.hole.through,
        "with-depth": command.with_depth,
        "reconnect": command.reconnect,
    }
    arguments = ["--pty"] if command.link == "pty" else [f"--tcp={command.link}"]
    arguments += [f"--{name}={value!r}" for name, value in number.items()]
    arguments += [f"--{name}={value}" for name, value in texts.items() if value is not None]
    arguments += [f"--{name}" for name, on in switches.items() if on]
    return arguments


def split_address(address: str) -> tuple[str, int]:
    """``127.0.0.1:0`` as host and port.

    Raises:
        InputError: it is not of that form.
    """
    host, _, port = address.rpartition(":")
    if not host or not port.isdigit() or int(port) > 65_535:
        raise InputError("--tcp", got=address, allowed="host:port, such as 127.0.0.1:0")
    return host, int(port)
