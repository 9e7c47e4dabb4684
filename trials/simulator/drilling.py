"""One invented run: hole after hole with one drill, until it is worn, fails or enough is drilled.

Everything follows from a job, a process truth and a seed; nothing here talks to anyone. The drill's
own life, what damages it, the readings of the person and the noise draw from separate streams, so
that a change of the sample rate does not change when the drill is worn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from trials.errors import require
from trials.mechanics import load_pct, point_length_mm, rpm, within_machine
from trials.model import CuttingData, Drill, End, HoleFeature, Machine, WearReading, Work
from trials.simulator.hole_path import HolePath, hole_path
from trials.simulator.process_truth import ProcessTruth, invented_process
from trials.simulator.spindle import Samples, Signal, Spindle

Floats = npt.NDArray[np.float64]

MOVE_S = 2.0
_LOOK_S = 12.0
_IDLE_AT_STANDSTILL_PCT, _IDLE_AT_MAX_RPM_PCT = 2.5, 9.0
# Average wear of the lips against its largest place, as a person with a loupe sees it.
_AVERAGE_SHARE = 0.78
_CHIP_MEDIAN_MM = 0.12
_SPIKE_PCT = 190.0


@dataclass(frozen=True, slots=True)
class Job:
    """What is drilled with what, and how it is driven."""

    machine: Machine
    work: Work
    hole: HoleFeature
    drill: Drill
    cutting_data: CuttingData

    def __post_init__(self) -> None:
        problems = within_machine(self.cutting_data, self.drill.diameter_mm, self.machine)
        require(not problems, "cutting data", "; ".join(problems), "what the machine can do")

    @property
    def rpm(self) -> float:
        """Spindle speed, 1/min."""
        return rpm(self.cutting_data.speed_m_per_min, self.drill.diameter_mm)


@dataclass(frozen=True, slots=True)
class Watch:
    """What the person at the machine does.

    Args:
        holes: most holes to drill; fewer when the drill does not last.
        look_every_holes: take the drill under the loupe after so many holes; 0 for the end only.
        wear_limit_mm: stop when the largest wear or chipping seen has reached this, mm.
        load_limit_pct: stop after a hole whose load went above this; None for no such limit.
    """

    holes: int = 50
    look_every_holes: int = 10
    wear_limit_mm: float = 0.3
    load_limit_pct: float | None = None

    def __post_init__(self) -> None:
        require(1 <= self.holes <= 1_000_000, "number of holes", self.holes, "1 to 1,000,000")
        require(self.look_every_holes >= 0, "holes between looks", self.look_every_holes,
                "0 or more")  # fmt: skip
        require(0 < self.wear_limit_mm <= 5, "wear limit", self.wear_limit_mm,
                "more than 0 and at most 5 mm")  # fmt: skip


@dataclass(frozen=True, slots=True)
class HoleLabel:
    """What is true of one hole, whatever a program makes of its trace.

    Times are machine seconds: ``start_s`` is when the tip first touches the work, ``end_s`` when
    it last cuts. ``peak_pct`` is filtered as the drive filters, without noise and rounding.
    ``vb_mm`` is the largest wear after the hole; ``life_share`` is 1 where it reaches the limit
    of the process truth.
    """

    number: int
    start_s: float
    end_s: float
    cut_s: float
    pecks: int
    peak_pct: float
    vb_mm: float
    life_share: float
    corner_chipping_mm: float
    broken: bool


@dataclass(frozen=True, slots=True)
class DrilledHole:
    """Samples of one hole with the moves around it, its label, and what a person saw after it.

    ``end`` is set on the last hole of the run.
    """

    samples: Samples
    label: HoleLabel
    reading: WearReading | None = None
    end: End | None = None


@dataclass(slots=True)
class _Edge:
    """The state of the drill in the run."""

    life_factor: float
    torque_factor: float
    life_share: float = 0.0
    chipping_mm: float = 0.0
    wear_mm: float = 0.0
    streams: dict[str, np.random.Generator] = field(default_factory=dict)


def drill_holes(
    job: Job,
    watch: Watch,
    signal: Signal | None = None,
    truth: ProcessTruth | None = None,
    *,
    seed: int = 0,
) -> Iterator[DrilledHole]:
    """Drill one run, hole by hole; the last hole carries the end of the run.

    Args:
        job, watch: what is drilled, and when the person looks and stops.
        signal: how load is shown.
        truth: the process; None takes the invented one of this drill and work.
        seed: the same seed gives the same run.
    """
    truth = truth or invented_process(job.drill, job.work, wear_scale_mm=watch.wear_limit_mm)
    names = ("drill", "damage", "looks", "noise")
    seeds = np.random.SeedSequence(seed).spawn(len(names))
    streams = {name: np.random.default_rng(s) for name, s in zip(names, seeds, strict=True)}
    edge = _Edge(
        life_factor=float(np.exp(truth.life_scatter * streams["drill"].standard_normal())),
        torque_factor=float(1.0 + 0.015 * streams["drill"].standard_normal()),
        streams=streams,
    )
    path = hole_path(job.cutting_data, job.drill, job.hole, job.machine)
    cut = _Cut(job, truth, path)
    span = job.rpm / job.machine.max_rpm
    idle = _IDLE_AT_STANDSTILL_PCT + span * (_IDLE_AT_MAX_RPM_PCT - _IDLE_AT_STANDSTILL_PCT)
    spindle = Spindle(signal or Signal(), idle, job.rpm, streams["noise"])
    spindle.stand(1.0)
    _start_spindle(spindle)
    for number in range(1, watch.holes + 1):
        label = _one_hole(number, job, truth, cut, edge, spindle)
        end, looked = _after(number, label, watch)
        reading = _loupe(number, edge) if looked else None
        if end is None and reading is not None:
            end = _verdict(reading, watch)
        if end is None and number == watch.holes:
            end = "stopped"
        if looked or end is not None:
            spindle.run_down()
            spindle.stand(_LOOK_S if end is None else 1.0)
            if end is None:
                _start_spindle(spindle)
        yield DrilledHole(spindle.take(), label, reading, end)
        if end is not None:
            return


def _start_spindle(spindle: Spindle) -> None:
    spindle.run_up()
    spindle.turn(1.5)


class _Cut:
    """Load above idle and chip packing along the path of one hole."""

    def __init__(self, job: Job, truth: ProcessTruth, path: HolePath) -> None:
        self.path = path
        self._job = job
        self._truth = truth
        self._point_mm = point_length_mm(job.drill.diameter_mm, job.drill.point_angle_deg)
        self._feeds = np.array([step.feed_factor for step in path.steps])
        self._pecks = np.array([step.peck for step in path.steps])
        self._cuts = np.array([step.doing == "cut" for step in path.steps])
        self._chips = np.array([step.doing == "chips" for step in path.steps])
        self._packing = np.vectorize(truth.packing, otypes=[float])
        times = np.linspace(0.0, path.total_s, 400)
        depth, step = path.at(times)
        packing = self._packing_at(depth, step)[self._cuts[step]]
        self.mean_packing = float(packing.mean())
        self.most_packing = float(packing.max())

    def load_and_depth(
        self, times_s: Floats, wear_mm: float, factor: float
    ) -> tuple[Floats, Floats]:
        """Load above idle in % and depth in mm at seconds from the beginning of the path."""
        job = self._job
        depth, step = self.path.at(times_s)
        by_feed = {
            share: load_pct(
                job.machine,
                job.rpm,
                self._truth.torque_n_m(
                    job.drill.diameter_mm, share * job.cutting_data.feed_mm_per_rev, wear_mm
                ),
            )
            for share in set(self._feeds.tolist())
        }
        full = np.array([by_feed[share] for share in self._feeds.tolist()])[step]
        load = full * self._engaged(depth) * self._packing_at(depth, step) * factor
        return np.where(
            self._cuts[step], load, np.where(self._chips[step], 0.08 * load, 0.0)
        ), depth

    def _engaged(self, depth_mm: Floats) -> Floats:
        """Share of the torque that is in the work: the point goes in, and comes out below."""
        entering = np.clip(depth_mm / self._point_mm, 0.0, 1.0) ** 2
        if not self._job.hole.through:
            return entering
        out = (depth_mm - self._job.hole.depth_mm) / self._point_mm
        return entering * (1.0 - np.clip(out, 0.0, 1.0) ** 2)

    def _packing_at(self, depth_mm: Floats, step: npt.NDArray[np.intp]) -> Floats:
        """A full retract clears the flutes; a chip break leaves half of the column in them."""
        start = np.array(self.path.peck_from_mm)[self._pecks[step]]
        left = 0.5 * start if self._job.cutting_data.peck_mode == "chip_break" else 0.0
        column = (np.maximum(depth_mm - start, 0.0) + left) / self._job.drill.diameter_mm
        packing: Floats = self._packing(column)
        return packing


def _one_hole(
    number: int, job: Job, truth: ProcessTruth, cut: _Cut, edge: _Edge, spindle: Spindle
) -> HoleLabel:
    path, data = cut.path, job.cutting_data
    damage, own = edge.streams["damage"], edge.streams["drill"]
    spindle.turn(MOVE_S)
    worn = 1.0 + truth.worn_torque_share * edge.wear_mm / truth.wear_scale_mm
    factor = (
        edge.torque_factor * (1.0 + 0.5 * edge.chipping_mm) * (1.0 + 0.01 * own.standard_normal())
    )
    strain = truth.edge_load(data.feed_mm_per_rev, worn * cut.most_packing)
    breaks = bool(damage.random() < truth.chance_of_breaking(strain))
    chips = bool(damage.random() < truth.chance_of_chipping(strain))
    where, size = damage.random(), damage.standard_normal()
    broken_at = path.first_cut_s + where * (path.last_cut_s - path.first_cut_s)
    spike_s = max(0.15, 2.0 / spindle.sample_hz)

    def load_and_depth(times_s: Floats) -> tuple[Floats, Floats]:
        load, depth = cut.load_and_depth(times_s, edge.wear_mm, factor)
        if breaks:
            load = np.where(times_s < broken_at, load, 0.0)
            load[(times_s >= broken_at) & (times_s < broken_at + spike_s)] = _SPIKE_PCT
        return load, depth

    began_s = spindle.elapsed_s
    build_up = truth.built_up_edge_share(data.speed_m_per_min)
    peak = spindle.cut(path.total_s, load_and_depth, 0.05 * build_up)
    if chips and not breaks:
        edge.chipping_mm += _CHIP_MEDIAN_MM * strain * math.exp(0.5 * size)
    share = truth.life_share_per_hole(data, path.cut_s / 60.0, path.pecks, cut.mean_packing)
    faster = 1.3 if edge.chipping_mm > 0 else 1.0
    edge.life_share += share * faster / edge.life_factor * math.exp(0.08 * own.standard_normal())
    edge.wear_mm = truth.wear_mm(edge.life_share)
    return HoleLabel(
        number=number,
        start_s=began_s + path.first_cut_s,
        end_s=began_s + (broken_at + spike_s if breaks else path.last_cut_s),
        cut_s=path.cut_s,
        pecks=path.pecks,
        peak_pct=peak,
        vb_mm=edge.wear_mm,
        life_share=edge.life_share,
        corner_chipping_mm=edge.chipping_mm,
        broken=breaks,
    )


def _after(number: int, label: HoleLabel, watch: Watch) -> tuple[End | None, bool]:
    """How the run ends by what can be seen without a loupe, and whether the person looks."""
    if label.broken:
        return "broken", False
    if watch.load_limit_pct is not None and label.peak_pct > watch.load_limit_pct:
        return "load_limit", True
    every = watch.look_every_holes
    return None, number == watch.holes or (every > 0 and number % every == 0)


def _loupe(number: int, edge: _Edge) -> WearReading:
    """What a person with a loupe notes, in hundredths of a millimetre."""
    looks = edge.streams["looks"]
    largest = max(0.0, edge.wear_mm * (1.0 + 0.02 * looks.standard_normal()))
    average = _AVERAGE_SHARE * largest * (1.0 + 0.02 * looks.standard_normal())
    return WearReading(
        hole=number,
        vb_average_mm=round(min(average, largest), 2),
        vb_maximum_mm=round(largest, 2),
        corner_chipping_mm=round(edge.chipping_mm, 2),
    )


def _verdict(reading: WearReading, watch: Watch) -> End | None:
    if reading.corner_chipping_mm is not None and reading.corner_chipping_mm >= watch.wear_limit_mm:
        return "chipped"
    if reading.vb_maximum_mm is not None and reading.vb_maximum_mm >= watch.wear_limit_mm:
        return "worn"
    return None
