"""The kinds of labelled traces; importing this fills `traces.KINDS`."""

from __future__ import annotations

import numpy as np

from tests.helpers.traces import (
    Line,
    Plan,
    Rng,
    Trace,
    draw_hole,
    drop,
    kind,
    move,
    plain,
    render,
    simple,
    wear,
)


@kind
def clean_50_hz(rng: Rng) -> Trace:
    return simple("clean_50_hz", Plan(rng, sample_hz=50))


@kind
def clean_250_hz(rng: Rng) -> Trace:
    return simple("clean_250_hz", Plan(rng, sample_hz=250, through=True))


@kind
def clean_1000_hz(rng: Rng) -> Trace:
    return simple("clean_1000_hz", Plan(rng, sample_hz=1000, noise=1.5))


@kind
def whole_percent_2_hz(rng: Rng) -> Trace:
    return simple("whole_percent_2_hz", Plan(rng, sample_hz=2, round_to=1, move_s=3.5))


@kind
def whole_percent_5_hz(rng: Rng) -> Trace:
    return simple("whole_percent_5_hz", Plan(rng, sample_hz=5, round_to=1))


@kind
def whole_percent_20_hz(rng: Rng) -> Trace:
    return simple("whole_percent_20_hz", Plan(rng, sample_hz=20, round_to=1, height=9))


@kind
def event_driven(rng: Rng) -> Trace:
    trace = simple("event_driven", Plan(rng, sample_hz=8, round_to=1, noise=0.35))
    load = trace.samples.load_pct.to_numpy()
    return drop(trace, np.concatenate([[True], load[1:] != load[:-1]]))


@kind
def event_driven_slow(rng: Rng) -> Trace:
    trace = simple("event_driven_slow", Plan(rng, sample_hz=3, round_to=1, noise=0.5, height=18,
                                             move_s=3.0))  # fmt: skip
    load = trace.samples.load_pct.to_numpy()
    return drop(trace, np.concatenate([[True], load[1:] != load[:-1]]))


@kind
def drift(rng: Rng) -> Trace:
    plan, line = Plan(rng, holes=40, height=12), Line()
    plain(line, plan)
    top = rng.uniform(8, 16)
    return render("drift", line, plan, idle=lambda t: 14 + top * np.exp(-t / (line.now / 3)))


@kind
def small_drill(rng: Rng) -> Trace:
    return simple("small_drill", Plan(rng, height=3, noise=0.35, diameter_mm=2.2))


@kind
def small_drill_whole_percent(rng: Rng) -> Trace:
    return simple("small_drill_whole_percent", Plan(rng, height=3, noise=0.4, round_to=1,
                                                    sample_hz=10, diameter_mm=2.2))  # fmt: skip


@kind
def full_retract(rng: Rng) -> Trace:
    pecks = int(rng.integers(3, 7))
    return simple("full_retract", Plan(rng, mode="full_retract", pecks=pecks,
                                       retract_s=rng.uniform(0.5, 1.1), move_s=3))  # fmt: skip


@kind
def full_retract_equal(rng: Rng) -> Trace:
    """The retract lasts as long as the move to the next hole."""
    gap = rng.uniform(1.0, 1.8)
    pecks = int(rng.integers(3, 6))
    return simple("full_retract_equal", Plan(rng, mode="full_retract", pecks=pecks, retract_s=gap,
                                             retract_growth=0.5, move_s=gap))  # fmt: skip


@kind
def chip_break(rng: Rng) -> Trace:
    return simple("chip_break", Plan(rng, mode="chip_break", pecks=int(rng.integers(3, 7)),
                                     dip_s=rng.uniform(0.1, 0.3)))  # fmt: skip


@kind
def chip_break_filtered(rng: Rng) -> Trace:
    return simple("chip_break_filtered",
                  Plan(rng, mode="chip_break", pecks=int(rng.integers(3, 6)),
                       dip_s=rng.uniform(0.15, 0.3), filter_s=rng.uniform(0.1, 0.25)))  # fmt: skip


@kind
def breakthrough(rng: Rng) -> Trace:
    return simple("breakthrough", Plan(rng, breakthrough=True, depth_growth=0.05))


@kind
def stack(rng: Rng) -> Trace:
    humps = (1.0, float(rng.uniform(0.35, 0.7)))
    gap = float(rng.choice([0.0, 0.2, 0.5]))
    return simple("stack", Plan(rng, humps=humps[:: int(rng.choice([1, -1]))], hump_gap_s=gap))


@kind
def step_drill(rng: Rng) -> Trace:
    return simple("step_drill", Plan(rng, humps=(float(rng.uniform(0.3, 0.6)), 1.0)))


@kind
def pilot_run_up(rng: Rng) -> Trace:
    """The drill seats in a pilot hole at low speed, runs up, then cuts."""
    plan, line = Plan(rng, depth_mm=80, diameter_mm=8), Line()
    line.wait(4)
    for i in range(plan.holes):
        line.wait(1.0)
        line.spikes.append((line.now, rng.uniform(40, 90), 0.08))
        line.wait(0.8)
        draw_hole(line, plan, wear(plan, i))
        move(line, plan)
    line.wait(3)
    return render("pilot_run_up", line, plan)


@kind
def spindle_spikes(rng: Rng) -> Trace:
    """Spindle off every few holes; it starts and stops with a spike."""
    plan, line = Plan(rng, holes=30), Line()
    line.off.append((0.0, 4.0))
    line.wait(4)
    line.spikes.append((line.now, rng.uniform(40, 110), rng.uniform(0.1, 0.35)))
    line.wait(3)
    for i in range(plan.holes):
        draw_hole(line, plan, wear(plan, i))
        move(line, plan)
        if i % 5 == 4:
            line.spikes.append((line.now, rng.uniform(15, 60), rng.uniform(0.05, 0.3)))
            line.wait(1.2)
            start = line.now
            line.wait(rng.uniform(3, 25))
            line.off.append((start, line.now))
            line.spikes.append((line.now, rng.uniform(40, 110), rng.uniform(0.1, 0.35)))
            line.wait(2.5)
    return render("spindle_spikes", line, plan)


@kind
def pallet_change(rng: Rng) -> Trace:
    plan, line = Plan(rng, holes=30), Line()
    line.wait(3)
    for i in range(plan.holes):
        draw_hole(line, plan, wear(plan, i))
        move(line, plan)
        if i % 6 == 5:
            line.wait(rng.uniform(45, 75))
    return render("pallet_change", line, plan)


@kind
def gaps_inside(rng: Rng) -> Trace:
    plan, line = Plan(rng), Line()
    plain(line, plan)
    trace = render("gaps_inside", line, plan)
    keep = np.ones(len(trace.samples), bool)
    t = trace.samples.time_s.to_numpy()
    for i in rng.choice(plan.holes, 6, replace=False):
        a, b = trace.holes.start_s[i], trace.holes.end_s[i]
        at = rng.uniform(a + 0.3 * (b - a), a + 0.5 * (b - a))
        keep &= ~((t > at) & (t < at + rng.uniform(0.3, 0.4) * (b - a)))
    return drop(trace, keep)


@kind
def lost_and_jittered(rng: Rng) -> Trace:
    plan, line = Plan(rng, sample_hz=50), Line()
    plain(line, plan)
    t = np.arange(0, line.now, 0.02)
    t = np.sort(t + rng.uniform(-0.012, 0.012, len(t)))
    t = t[rng.random(len(t)) > 0.15]
    repeat = rng.random(len(t)) < 0.05
    t[1:][repeat[1:]] = t[:-1][repeat[1:]]
    return render("lost_and_jittered", line, plan, times=t)


@kind
def wear_35_to_80(rng: Rng) -> Trace:
    return simple("wear_35_to_80", Plan(rng, holes=50, height=29, worn_factor=2.55))


@kind
def wear_fivefold(rng: Rng) -> Trace:
    return simple("wear_fivefold", Plan(rng, holes=50, height=8, worn_factor=5, noise=0.8))


@kind
def air_cuts(rng: Rng) -> Trace:
    plan, line = Plan(rng, holes=36), Line()
    line.wait(3)
    for i in range(plan.holes):
        if i % 6 == 3:
            line.to(rng.uniform(0.3, 1.5), 0.1)
            line.wait(plan.cut_s)
            line.to(0, 0.1)
        else:
            draw_hole(line, plan, wear(plan, i))
        move(line, plan)
    return render("air_cuts", line, plan)


@kind
def broken(rng: Rng) -> Trace:
    plan, line = Plan(rng, holes=30), Line()
    line.wait(3)
    breaks = int(rng.integers(8, 26))
    for i in range(plan.holes):
        if i < breaks:
            draw_hole(line, plan, wear(plan, i))
        elif i == breaks:
            start, height = line.now, wear(plan, i)
            line.to(height, 0.2)
            line.wait(plan.cut_s * rng.uniform(0.2, 0.7))
            line.to(height * rng.uniform(2.0, 3.5), rng.uniform(0.05, 0.25))
            peak = line.y[-1]
            line.to(0.0, 0.05)
            line.holes.append({"start_s": start, "end_s": line.now, "pecks": 1, "peak_above": peak,
                               "broken": True})  # fmt: skip
            line.wait(plan.cut_s * 0.4)
        else:
            line.to(rng.uniform(0.0, 0.8), 0.1)
            line.wait(plan.cut_s)
            line.to(0, 0.1)
        move(line, plan)
    return render("broken", line, plan)


@kind
def filter_fast(rng: Rng) -> Trace:
    return simple("filter_fast", Plan(rng, filter_s=0.1))


@kind
def filter_slow(rng: Rng) -> Trace:
    return simple("filter_slow", Plan(rng, filter_s=0.5, sample_hz=20))


@kind
def negative(rng: Rng) -> Trace:
    return simple("negative", Plan(rng, idle=-42.0))


@kind
def offset(rng: Rng) -> Trace:
    return simple("offset", Plan(rng, idle=120.0, height=22))


@kind
def mill_between(rng: Rng) -> Trace:
    """Another tool of the same program, with higher and longer load between blocks of holes."""
    plan, line = Plan(rng, holes=30), Line()
    line.wait(3)
    for i in range(plan.holes):
        draw_hole(line, plan, wear(plan, i))
        move(line, plan)
        if i % 6 == 5:
            line.wait(6)
            for _ in range(int(rng.integers(1, 4))):
                line.to(plan.height * rng.uniform(1.3, 2.0), 0.3)
                for _ in range(int(plan.cut_s * rng.uniform(4, 8))):
                    line.to(plan.height * rng.uniform(1.3, 2.0), 0.5)
                    line.wait(0.5)
                line.to(0.0, 0.2)
                line.wait(2)
            line.wait(6)
    return render("mill_between", line, plan)


@kind
def two_drills(rng: Rng) -> Trace:
    plan, line = Plan(rng, holes=18), Line()
    other = Plan(rng, holes=18, height=plan.height * rng.uniform(0.3, 0.6),
                 diameter_mm=0.6 * plan.diameter_mm, depth_mm=plan.depth_mm,
                 feed=0.7 * plan.feed, speed=plan.speed * 0.8)  # fmt: skip
    for _ in range(2):
        for each in (plan, other):
            line.wait(5)
            for i in range(9):
                draw_hole(line, each, wear(each, i))
                move(line, each)
    return render("two_drills", line, plan)


@kind
def idle_jumps(rng: Rng) -> Trace:
    plan, line = Plan(rng, holes=36, height=9), Line()
    plain(line, plan)
    ends = [h["end_s"] for h in line.holes[4::5]]
    levels = np.cumsum(np.concatenate([[8.0], rng.choice([14, 17, -12, 20], len(ends))]))
    levels = 6 + np.abs(levels) % 30
    return render("idle_jumps", line, plan,
                  idle=lambda t: levels[np.searchsorted(np.array(ends) + 0.8, t)])  # fmt: skip


@kind
def cut_twice_the_noise(rng: Rng) -> Trace:
    return simple("cut_twice_the_noise", Plan(rng, height=8, noise=4, sample_hz=100))


@kind
def cut_twice_the_noise_20_hz(rng: Rng) -> Trace:
    return simple("cut_twice_the_noise_20_hz", Plan(rng, height=8, noise=4, sample_hz=20))


@kind
def single_sample_spikes(rng: Rng) -> Trace:
    trace = simple("single_sample_spikes", Plan(rng, sample_hz=float(rng.choice([10, 50, 200]))))
    at = rng.choice(len(trace.samples) - 2, 60, replace=False) + 1
    trace.samples.loc[at, "load_pct"] = 150.0
    return trace


@kind
def rows_of_holes(rng: Rng) -> Trace:
    """Rows of plain holes, the move to the next row longer: holes, not pecks."""
    plan, line = Plan(rng, holes=30, move_s=1.5), Line()
    line.wait(3)
    for i in range(plan.holes):
        draw_hole(line, plan, wear(plan, i))
        move(line, plan)
        if i % 5 == 4:
            line.wait(3)
    return render("rows_of_holes", line, plan)
