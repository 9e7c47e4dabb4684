"""Whatever people change on both sides, and wherever sending is cut off: it ends the same.

What is expected follows from the rule alone, without the program's bases: once the shop changed a
value it is the shop's; until then it is what the station has. Every edit is a value of its own, so
that the two sides never agree by chance.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any
from unittest import mock

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from tests.helpers.example_trial import START, example_trial
from trials.errors import StoreError
from trials.model import WearReading
from trials.model.plain import to_plain
from trials.store import Forwarder, Store, open_store, shop_folder
from trials.store._forward_memory import Memory
from trials.store._forward_merge import Base, flat, merge, tree
from trials.store._forward_there import Bringing

FIELDS = ("note", "batch")
ACTIONS = st.lists(
    st.one_of(
        st.tuples(st.just("here"), st.sampled_from(FIELDS)),
        st.tuples(st.just("there"), st.sampled_from(FIELDS)),
        st.tuples(st.just("there before"), st.sampled_from(FIELDS)),
        st.tuples(st.sampled_from(["wear here", "wear there", "plan here", "plan there"])),
        st.tuples(st.just("send"), st.sampled_from(["whole", "cut", "expected", "committed"])),
        st.tuples(st.just("killed")),  # its memory on the disk stays
    ),
    max_size=14,
)


@pytest.fixture(scope="module")
def begun() -> Iterator[Path]:
    """A station and a shop with a run that was sent once."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with open_store(shop_folder(folder / "station")) as store:
            store.add_trial(example_trial())
            store.add_run("bracket", START, note="0", batch="0")
        with closing(sender(folder)) as sending:
            sending.round()
        yield folder


def sender(folder: Path) -> Forwarder:
    return Forwarder(shop_folder(folder / "station"), str(folder / "shop"), station="mill")


@dataclass
class Expected:
    """What the rule says of one value: here, at the shop, delivered, and whether it is told."""

    here: str = "0"
    delivered: list[str] = field(default_factory=lambda: ["0"])
    shops: str | None = None
    told: bool = False

    def deliver(self) -> None:
        if self.shops is None:
            if self.delivered[-1] != self.here:
                self.delivered.append(self.here)
        elif self.here != self.delivered[-1]:
            self.told = True

    @property
    def there(self) -> str:
        return self.delivered[-1] if self.shops is None else self.shops


@settings(
    max_examples=40, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
@given(actions=ACTIONS)
@example(actions=[("here", "note"), ("send", "committed"), ("there", "note")])
@example(actions=[("here", "note"), ("send", "committed"), ("there before", "note")])
@example(actions=[("here", "note"), ("send", "expected"), ("killed",), ("there", "note")])
@example(actions=[("here", "note"), ("send", "whole"), ("there before", "note"), ("here", "note")])
def test_whatever_is_changed_and_cut_it_ends_by_the_rule(
    begun: Path, actions: list[tuple[Any, ...]]
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "both"
        shutil.copytree(begun, folder)
        with (
            open_store(shop_folder(folder / "station")) as here,
            open_store(shop_folder(folder / "shop")) as there,
        ):
            play(folder, here, there, actions)


def play(folder: Path, here: Store, there: Store, actions: list[tuple[Any, ...]]) -> None:
    expected = {name: Expected() for name in FIELDS}
    wear, plans_here, plans_there = 0, 0, 0
    sending = sender(folder)
    try:
        for count, (what, *more) in enumerate([*actions, ("send", "whole")], 1):
            if what == "here":
                expected[more[0]].here = f"h{count}"
                change(here, more[0], f"h{count}")
            elif what == "there":
                expected[more[0]].shops = f"t{count}"
                change(there, more[0], f"t{count}")
            elif what == "there before":
                if len(expected[more[0]].delivered) > 1 and expected[more[0]].shops is None:
                    value = expected[more[0]].delivered[-2]
                    expected[more[0]].shops = value
                    change(there, more[0], value)
            elif what.startswith("wear"):
                wear += 1
                side = here if what == "wear here" else there
                side.add_wear("bracket", 1, WearReading(wear, 0.01))
            elif what == "plan here":
                plans_here += 1
                here.add_run("bracket", START, note=f"here {plans_here}")
            elif what == "plan there":
                plans_there += 1
                there.add_run("bracket", START, note=f"there {plans_there}")
            elif what == "killed":
                sending.close()
                sending = sender(folder)
            else:
                send(sending, more[0])
                if more[0] in ("whole", "committed"):
                    # What was committed is there, whether the station knows it or not.
                    for one in expected.values():
                        one.deliver()
        sending._refused.clear()
        assert sending.round().waiting == 0
        for one in expected.values():
            one.deliver()
        told = " ".join(one.text for one in sending.memory.conflicts())
    finally:
        sending.close()
    run = there.run("bracket", 1).run
    for name, one in expected.items():
        assert getattr(run, name) == one.there, name
        assert (f"{name}: here" in told) == one.told, name
    assert [reading.hole for reading in run.wear] == list(range(1, wear + 1)), "each once"
    runs = there.runs("bracket")
    assert [stored.run.number for stored in runs] == list(range(1, len(runs) + 1))
    notes = sorted(stored.run.note for stored in runs[1:])
    assert notes == sorted(
        [f"here {n + 1}" for n in range(plans_here)]
        + [f"there {n + 1}" for n in range(plans_there)]
    )


def change(store: Store, name: str, value: str) -> None:
    store.change_run("bracket", 1, lambda run: replace(run, **{name: value}))


def send(sending: Forwarder, how: str) -> None:
    """A round that is whole, or cut off at one instant of each of its transactions."""
    sending._refused.clear()
    in_doubt = sending.memory.pending() is None
    bring, expect, settle = Bringing.bring, Memory.expect, Memory.settle

    def break_off(*_: Any) -> None:
        raise StoreError("cut off")

    def after(work: Any) -> Any:
        def both(*arguments: Any) -> None:
            work(*arguments)
            break_off()

        return both

    def lost(memory: Memory, number: int | None, portion: Any) -> None:
        """The portion is at the shop; that it is does not come to be known in this round."""
        if in_doubt and number is not None:
            break_off()
        settle(memory, number, portion)

    broken = {
        "whole": mock.patch.object(Memory, "settle", settle),
        "cut": mock.patch.object(Bringing, "bring", after(bring)),
        "expected": mock.patch.object(Memory, "expect", after(expect)),
        "committed": mock.patch.object(Memory, "settle", lost),
    }
    with broken[how]:
        try:
            sending.round()
        except StoreError:
            return


@given(
    now=st.dictionaries(st.sampled_from("abc"), st.integers(0, 2), min_size=3),
    base=st.dictionaries(st.sampled_from("abc"), st.integers(0, 2), min_size=3),
    theirs=st.dictionaries(st.sampled_from("abc"), st.integers(0, 2), min_size=3),
)
def test_a_value_comes_from_a_side_that_changed_it(
    now: dict[str, int], base: dict[str, int], theirs: dict[str, int]
) -> None:
    done = merge(now, Base(base, base), theirs)
    merged = {**theirs, **done.changes}
    told = {one.name for one in done.differences}
    for name in "abc":
        if now[name] == base[name]:
            assert merged[name] == theirs[name]
        elif theirs[name] == base[name]:
            assert merged[name] == now[name]
        else:
            assert merged[name] == theirs[name]
            assert (name in told) == (now[name] != theirs[name])
    again = merge(now, done.base, merged)
    assert (again.changes, again.differences) == ({}, []), "what was told is not told again"


def test_a_trial_is_the_same_after_it_was_laid_flat() -> None:
    plain = to_plain(example_trial())
    assert tree(flat(plain), [one["name"] for one in plain["drills"]]) == plain
