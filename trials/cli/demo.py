"""The demo: an invented trial, drilled by a simulated machine and recorded over real links."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from trials.cli.common import Common, cutting_data_text
from trials.cli.show import console, say
from trials.errors import InputError, SourceError
from trials.model import CAUTIONS

if TYPE_CHECKING:
    from trials.logger import LineFormat, Mapping
    from trials.model import Run, Trial
    from trials.optimizer import Suggestion
    from trials.simulator import Command, Note
    from trials.workbench import OnProgress, Progress, Workbench

FOLDER = "holewise-demo"
TRIAL = "demo-hinge"
RUNS = 6
USUAL_PORT = 8050
_ANSWERS_WITHIN_S = 90.0
_SAMPLE_HZ = 10.0
_LOOK_EVERY_HOLES = 10


def demo(
    shown: Common,
    folder: Path | None = None,
    *,
    runs: int = RUNS,
    keep_open: bool = True,
    port: int | None = None,
    seed: int = 1,
) -> None:
    """Run the demo and say each step of it.

    Args:
        shown: how values are shown; its data folder is not used, so that no real shop is touched.
        folder: a new or empty folder; None takes ``holewise-demo`` beside the user, or the next
            free number after it.
        runs: how many runs to record.
        keep_open: leave the dashboard open until Ctrl-C; else stop once it has answered.
        port: of the dashboard; None takes the usual one, or any free one when that is taken.
        seed: another seed is another set of drills.

    Raises:
        InputError: the folder is in use or cannot be made.
        SourceError: the dashboard did not answer.
    """
    from trials.workbench import Workbench

    began = time.monotonic()
    place = demo_folder(folder)
    say("Everything in this demo is invented: machine, part, drill and every number. The machine")
    say("is simulated by a program of its own that talks over a real serial line or network link.")
    say(f"Data folder: {place} (nothing else is touched; delete it when you are done)")
    say()
    with Workbench.open(place) as bench:
        trial = bench.new_trial(demo_trial())
        hole = trial.hole
        say(
            f"Trial {trial.name}: {shown.show(hole.diameter_mm, 'mm')} hole, "
            f"{shown.show(hole.depth_mm, 'mm')} deep, in {trial.work.material} with the "
            f"{trial.drill().name}. Which cutting data make the cheapest hole below "
            f"{trial.load_limit_pct:g} % load?"
        )
        for count in range(runs):
            _one_run(bench, trial, place, "pty" if count % 2 == 0 else "tcp", seed + count, shown)
        say()
        _say_next(bench, trial, shown)
    say(CAUTIONS)
    say(f"Recorded and decided in {time.monotonic() - began:.0f} s.")
    with _dashboard(place, port) as (address, process):
        say(f"Dashboard: {address}  (it answers)")
        if keep_open:
            with contextlib.suppress(KeyboardInterrupt):
                say("Open it in a browser. Ctrl-C ends the demo.")
                process.wait()
                raise SourceError(
                    "the dashboard ended by itself",
                    do=f"Start it again: holewise --data {place} dashboard",
                )
        say(f"To go on with this trial: holewise --data {place} trial show {trial.name}")


def demo_folder(asked: Path | None) -> Path:
    """Make the folder of the demo; what is there already stays as it is.

    Raises:
        InputError: the folder that was asked for is not empty, or cannot be made.
    """
    if asked is not None:
        if asked.exists() and (not asked.is_dir() or any(asked.iterdir())):
            raise InputError(
                f"folder {asked}: there is something in it",
                allowed="a new or an empty folder",
                do="Give another one with --folder, so that nothing is mixed up or lost.",
            )
        return _made(asked)
    here = Path.cwd()
    if not os.access(here, os.W_OK):
        found = Path(tempfile.mkdtemp(prefix=f"{FOLDER}-"))
        say(f"{here} cannot be written, so the demo goes to a temporary folder.")
        return found
    number, found = 1, here / FOLDER
    while found.exists():
        number += 1
        found = here / f"{FOLDER}-{number}"
    if number > 1:
        say(f"{here / FOLDER} is there from before and stays as it is.")
    return _made(found)


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            f"folder {folder}: cannot be made ({error.strerror})", do="Give one with --folder."
        ) from None
    return folder.resolve()


def demo_trial() -> Trial:
    """The invented trial of the demo."""
    from trials.model import (
        Bounds,
        CuttingData,
        Drill,
        Economics,
        HoleFeature,
        Machine,
        Trial,
        Work,
    )

    machine = Machine(3.0, 2500, 8000, "invented drilling centre", max_thrust_n=5000.0)
    work = Work("invented carbon steel", "P", hardness_hb=190.0)
    hole = HoleFeature(8.5, 34.0, tolerance="H11", name="invented hinge block, pin hole")
    drill = Drill(
        "invented cobalt drill", 8.5, substrate="cobalt", coating="TiN", point_angle_deg=135.0,
        flute_length_mm=75.0, price=24.0, regrinds=3, regrind_cost=7.0, maker="invented",
    )  # fmt: skip
    return Trial(
        name=TRIAL,
        machine=machine,
        work=work,
        hole=hole,
        drills=(drill,),
        economics=Economics(
            machine_rate_per_min=1.3, tool_change_min=2.0, breakage_cost=45.0, currency="EUR"
        ),
        bounds=Bounds(
            speed_m_per_min=(14.0, 34.0),
            feed_mm_per_rev=(0.07, 0.22),
            peck_depth_xd=(0.5, 3.0),
            peck_modes=("none", "chip_break", "full_retract"),
        ),
        start=CuttingData(18.0, 0.09, "full_retract", 0.5),  # careful, as a shop might begin
        load_limit_pct=75.0,
        wear_limit_mm=0.3,
        max_test_holes=160,
        invented=True,
        note="Invented for the demo: no real machine, part, drill or shop.",
    )


def _one_run(
    bench: Workbench, trial: Trial, place: Path, link: str, seed: int, shown: Common
) -> None:
    """Suggest, plan, drill and record, look at the drill, end."""
    began = time.monotonic()
    with _busy("looking for the next cutting data"):
        suggestion = bench.suggest(trial.name)
    run = bench.plan_run(trial.name, suggestion.cutting_data, origin="suggestion")
    told, link = _drill_and_record(bench, trial, run, place, link, seed)
    last = told[-1]
    assert last.end is not None  # noqa: S101 - the notes of a finished run say how it ended
    # The person's count goes before the logger's, as it would in a shop.
    counted = bench.run(trial.name, run.number).holes
    bench.end_run(trial.name, run.number, last.end, holes=last.hole)
    for note in told:
        if note.reading is not None:
            bench.add_wear(trial.name, run.number, note.reading)
    run = bench.run(trial.name, run.number)
    life = bench.holes_to_wear(trial.name, run.number)
    cost = bench.cost(trial.name, run.number)
    holes = f"{run.holes} holes" + ("" if counted == run.holes else f" ({counted} recorded)")
    lasted = f"more than {life.low:.0f}" if life.holes is None else f"{life.holes:.0f}"
    load = f"{run.load_fresh_pct or 0:.0f} → {run.load_worn_pct or 0:.0f} %"
    say(
        f"Run {run.number} over {link}: {cutting_data_text(run.cutting_data, shown)}; "
        f"{holes}, {last.end}; load {load}; "
        f"holes to wear {lasted} ({life.kind}); {cost.total:.3f} {cost.currency} a hole "
        f"[{time.monotonic() - began:.1f} s]"
    )


def _drill_and_record(
    bench: Workbench, trial: Trial, run: Run, place: Path, link: str, seed: int
) -> tuple[list[Note], str]:
    """Let the simulated machine drill this run while the workbench records it.

    Returns what the person at the machine noted, and the link it went over.
    """
    from trials.simulator import SimulatorProcess, read_notes

    if link == "pty" and os.name != "posix":
        link = "tcp"  # only there are pseudo-terminals
    notes = place / "notes" / f"run-{run.number}.csv"
    notes.parent.mkdir(exist_ok=True)
    with SimulatorProcess(_command(trial, run, notes, link, seed)) as machine:
        source = machine.address if link == "tcp" else f"serial:{machine.address}"
        line_format, mapping = _as_the_machine_speaks()
        with _holes_bar(run.number, trial.max_test_holes) as update:
            bench.record(
                trial.name, run.number, source, line_format=line_format, mapping=mapping,
                on_progress=update,
            )  # fmt: skip
        if machine.wait(60) != 0:
            raise SourceError(f"the simulated machine stopped in the middle of run {run.number}")
    return read_notes(notes), "a network link" if link == "tcp" else "a serial line"


def _command(trial: Trial, run: Run, notes: Path, link: str, seed: int) -> Command:
    from trials.simulator import Command, Job, Signal, Watch

    return Command(
        Job(trial.machine, trial.work, trial.hole, trial.drill(run.drill), run.cutting_data),
        Watch(
            trial.max_test_holes, _LOOK_EVERY_HOLES, trial.wear_limit_mm,
            load_limit_pct=trial.load_limit_pct,
        ),
        Signal(_SAMPLE_HZ, decimals=1),
        seed=seed,
        link="pty" if link == "pty" else "127.0.0.1:0",
        speed_up=0.0,
        notes=notes,
    )  # fmt: skip


def _as_the_machine_speaks() -> tuple[LineFormat, Mapping]:
    from trials.logger import LineFormat, Mapping

    return LineFormat.parse("key=value"), Mapping.parse("load=load,unit=%,time=t,rpm=rpm")


def _say_next(bench: Workbench, trial: Trial, shown: Common) -> None:
    """The next test with its reason, and what production would take now."""
    with _busy("looking for the next cutting data"):
        suggestion = bench.suggest(trial.name)
    say(f"Next suggestion: {cutting_data_text(suggestion.cutting_data, shown)}")
    say(f"  expected {_expected(suggestion, trial)}")
    say(f"  because: {suggestion.why}")
    if suggestion.stop:
        with _busy("looking for the cutting data of production"):
            now = bench.recommend(trial.name)
        say(f"For production now: {cutting_data_text(now.cutting_data, shown)}")
        say(f"  expected {_expected(now, trial)}")


def _expected(found: Suggestion, trial: Trial) -> str:
    cost, holes, load = found.cost_per_hole, found.holes, found.load_worn_pct
    return (
        f"{holes.low:.0f} to {holes.high:.0f} holes to wear, worn load {load.low:.0f} to "
        f"{load.high:.0f} %, {cost.median:.3f} {trial.economics.currency} a hole "
        f"({cost.low:.3f} to {cost.high:.3f}), safe with probability {found.p_safe:.2f}"
    )


@contextlib.contextmanager
def _busy(what: str) -> Iterator[None]:
    """A moving sign on a terminal; nothing when piped."""
    if not sys.stdout.isatty():
        yield
        return
    with console().status(what):
        yield


@contextlib.contextmanager
def _holes_bar(run: int, most_holes: int) -> Iterator[OnProgress | None]:
    """A bar of holes on a terminal; nothing when piped."""
    if not sys.stdout.isatty():
        yield None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
    from rich.progress import Progress as Bar

    with Bar(
        TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TextColumn("holes"),
        console=console(), transient=True,
    ) as bar:  # fmt: skip
        task = bar.add_task(f"run {run}: recording", total=most_holes)

        def update(progress: Progress) -> None:
            bar.update(task, completed=progress.holes)

        yield update


@contextlib.contextmanager
def _dashboard(place: Path, port: int | None) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """The dashboard in a process of its own, once it has answered over HTTP."""
    # A polite end from the system must not leave the dashboard behind.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    port = port or _free_port()
    address = f"http://127.0.0.1:{port}/"
    with tempfile.TemporaryFile() as errors:
        process = subprocess.Popen(  # noqa: S603 - our own command
            [sys.executable, "-m", "trials.cli.app", "--data", str(place), "dashboard",
             "--port", str(port)],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=errors,
        )  # fmt: skip
        try:
            with _busy("starting the dashboard"):
                answered = _answers(address, process)
            if not answered:
                process.terminate()
                process.wait(10)
                errors.seek(0)
                reason = errors.read().decode("utf-8", "replace").strip()
                raise SourceError(
                    f"the dashboard at {address} did not answer: {reason[-600:] or 'no message'}",
                    do="The trial is recorded; try: "
                    f"holewise --data {place} dashboard --port {port}",
                )
            yield address, process
        finally:
            if process.poll() is None:
                process.terminate()
                try:
                    process.wait(10)
                except subprocess.TimeoutExpired:
                    process.kill()
                    process.wait()


def _free_port() -> int:
    """The usual port, or any free one when it is taken."""
    for port in (USUAL_PORT, 0):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return int(probe.getsockname()[1])
    raise SourceError("no port is free on this computer")


def _answers(address: str, process: subprocess.Popen[bytes]) -> bool:
    """Ask for the page and its layout until both come, the process ends, or time is up."""
    until = time.monotonic() + _ANSWERS_WITHIN_S
    while time.monotonic() < until and process.poll() is None:
        try:
            for page in ("", "_dash-layout"):
                with urllib.request.urlopen(address + page, timeout=10) as answer:  # noqa: S310 - our own address
                    answer.read()
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
        else:
            return True
    return False
