"""Which way of looking finds cheap holes in few tests, safely? See docs/optimizer.md.

``python -m tests.benchmarks.optimizer --folder RESULTS`` runs what is not in the folder yet and
prints the tables; stopped at any time, it goes on where it was. ``--write docs/optimizer.md`` puts
the tables between that page's marks, and keeps what stands there of ways that were not run on a
process this time. One process of work, on purpose: times are of one core.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
import tempfile
import warnings
from collections import defaultdict
from pathlib import Path

from tests.benchmarks.optimizer.held_out import HELD_OUT
from tests.benchmarks.optimizer.known import KNOWN
from tests.benchmarks.optimizer.peers.outside import Outside
from tests.benchmarks.optimizer.peers.peer import Peer
from tests.benchmarks.optimizer.peers.plain import PLAIN
from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.table import coverage, markdown, row
from tests.benchmarks.optimizer.trial import run_trial

OWN, EVERYWHERE = "holewise", "processes that all other ways were tried on"
BEGIN, END = "<!-- table begins -->\n", "<!-- table ends -->\n"


def main() -> int:
    args = _arguments()
    folder = Path(args.folder)
    folder.mkdir(parents=True, exist_ok=True)
    kinds = (KNOWN if args.of != "held-out" else ()) + (HELD_OUT if args.of != "own" else ())
    processes = [kind() for kind in kinds]
    if args.process:
        processes = [process for process in processes if args.process in process.name]
    with contextlib.ExitStack() as open_peers:
        peers: list[Peer] = [peer for peer in PLAIN if not args.peer or peer.name in args.peer]
        for name, python, script, says_best in (
            ("Optuna", args.optuna_python, "optuna_peer.py", False),
            ("BoTorch", args.botorch_python, "botorch_peer.py", True),
        ):
            if python and (not args.peer or name in args.peer):
                peers.append(
                    open_peers.enter_context(
                        Outside(name, Path(python), script, says_best=says_best)
                    )
                )
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # peers warn of what their own designs lead to
            for peer in peers:
                for process in processes:
                    _run(folder, process, peer, args.seeds, args.tests, say=not args.quiet)
    page = Path(args.write) if args.write else None
    before, old, after = "", "", ""
    if page is not None:
        before, rest = page.read_text(encoding="utf-8").split(BEGIN)
        old, after = rest.split(END)
    text = tables(folder, args.seeds, old)
    print(text)
    if page is not None:
        page.write_text(before + BEGIN + text + END + after, encoding="utf-8")
    return 0


def _run(
    folder: Path, process: Process, peer: Peer, seeds: int, tests: int, *, say: bool
) -> None:  # fmt: skip
    for seed in range(seeds):
        path = folder / f"{peer.name} - {process.name} - {seed}.json"
        if path.exists():
            continue
        steps = run_trial(process, peer, seed, tests)
        if say:
            above = " ".join(f"{100 * step['above']:.0f}" for step in steps)
            print(f"{path.stem}: {above}", file=sys.stderr, flush=True)
        kept = {"peer": peer.name, "process": process.name, "seed": seed, "steps": steps}
        unfinished = path.with_suffix(".part")
        unfinished.write_text(json.dumps(kept), encoding="utf-8")
        unfinished.replace(path)


def tables(folder: Path, most_seeds: int, old: str = "") -> str:
    """Own processes, held-out ones, and each by itself, of seeds below ``most_seeds``.

    A group counts the seeds that all its processes have; a way that was run on fewer of them has no
    row there. Rows of the ``old`` tables stay where a way was not run on a process; so do those of
    the processes that all ways were tried on.
    """
    # Steps by where and by whom, then by seed and process.
    found: dict[tuple[str, str], dict[int, dict]] = defaultdict(lambda: defaultdict(dict))
    kept = rows_of(old)
    held_out = {kind.name for kind in HELD_OUT}
    processes = {kind.name: kind() for kind in (*KNOWN, *HELD_OUT)}
    order = [peer.name for peer in PLAIN] + ["Optuna", "BoTorch"]
    trials = [json.loads(path.read_text("utf-8")) for path in sorted(folder.glob("*.json"))]
    trials = [trial for trial in trials if trial["seed"] < most_seeds]
    tried = {name: set(kept.get(name, {})) for name in processes}
    for trial in trials:
        tried[trial["process"]].add(trial["peer"])
    for trial in trials:
        name = trial["process"]
        process = processes[name]
        for step in trial["steps"]:
            step["optimum_break"] = step["base_break"] * process.breaks_more_at_optimum
            step["above_safe"] = (1.0 + step["above"]) / process.price_of_safety - 1.0
        own = "held-out processes" if name in held_out else "own processes"
        everywhere = [EVERYWHERE] if tried[name] >= set(order) - {OWN} else []
        for where in ("all processes", own, *everywhere, name):
            found[where, trial["peer"]][trial["seed"]][name] = trial["steps"]
    parts = []
    whole = ("all processes", "own processes", EVERYWHERE, "held-out processes")
    for where in (*whole, *sorted({trial["process"] for trial in trials})):
        by_seed = {peer: found[where, peer] for peer in order}
        most = max(len({name for one in seeds.values() for name in one})
                   for seeds in by_seed.values())  # fmt: skip
        full = {
            peer: {seed: list(one.values()) for seed, one in seeds.items() if len(one) == most}
            for peer, seeds in by_seed.items()
        }
        rows = {peer: row(peer, trials) for peer, trials in full.items() if trials}
        if rows:
            said = "".join(coverage(one) for one in rows.values() if one.life is not None)
            count = max(map(len, full.values()))
            # Of the same processes, whatever the seeds; those of a group may have changed.
            also = kept.get(where, {}) if where in (EVERYWHERE, *processes) else {}
            lines = markdown(
                rows.values(), [line for peer, line in also.items() if peer not in rows]
            )
            parts.append(f"**{where.capitalize()}**, {count} seeds\n\n{lines}\n{said}")
    return "\n".join(parts)


def rows_of(text: str) -> dict[str, dict[str, str]]:
    """Rows of tables as they were written, by what they are of and by whom."""
    found: dict[str, dict[str, str]] = defaultdict(dict)
    where = ""
    for line in text.splitlines():
        if line.startswith("**"):
            where = line.split("**")[1].lower()
        elif line.startswith("| ") and not line.startswith(("| |", "| ---")):
            found[where][line.split("|")[1].strip()] = line
    return found


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--folder", default=str(Path(tempfile.gettempdir()) / "optimizer-table"),
                        help="results, one file a trial; what is there is kept")  # fmt: skip
    parser.add_argument("--seeds", type=int, default=20)
    parser.add_argument("--tests", type=int, default=20)
    parser.add_argument("--of", choices=("own", "held-out", "all"), default="all")
    parser.add_argument("--process", help="only processes with this in their name")
    parser.add_argument("--peer", action="append", help="only this peer; may be given again")
    parser.add_argument("--optuna-python", help="Python of an environment with optuna")
    parser.add_argument("--botorch-python", help="Python of an environment with botorch")
    parser.add_argument("--write", help="page to put the tables into, between its marks")
    parser.add_argument("--quiet", action="store_true", help="no line for each trial")
    return parser.parse_args()


if __name__ == "__main__":
    raise SystemExit(main())
