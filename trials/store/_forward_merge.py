"""Three ways of one row: as it is here, as it was sent, and as the shop has it now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Base:
    """What is known of a row since it was last sent.

    Args:
        here: as it was here then.
        there: what the shop had of it then. It differs where the shop's number or name had to be
            another one.
    """

    here: Values
    there: Values


@dataclass(frozen=True, slots=True)
class Difference:
    """A value that both sides changed: as it is here, and as the shop has it."""

    name: str
    here: Any
    there: Any


@dataclass(slots=True)
class Merged:
    """What to write at the shop, what to remember, and what both sides changed."""

    changes: Values = field(default_factory=dict)
    base: Base = field(default_factory=lambda: Base({}, {}))
    differences: list[Difference] = field(default_factory=list)


def merge(
    now: Mapping[str, Any],
    base: Base | None,
    theirs: Mapping[str, Any],
    *,
    own: Iterable[str] = (),
    together: Sequence[Sequence[str]] = (),
    ours_first: bool = False,
) -> Merged:
    """Merge one row into the shop's, value by value. A value that is absent counts as None.

    Changed here alone: it is written. Changed at the shop alone: it stays there. Changed on both
    sides: the shop's stays, and it is told; the shop's stays from then on, until both agree again.
    A row that is at both places and was never sent counts as changed on both sides.

    Args:
        now: the row as it is here.
        base: as it was sent; None when that is not known.
        theirs: the row as the shop has it.
        own: values that are this side's alone, always written.
        together: values that only make sense together; they are taken as one.
        ours_first: where both sides changed, ours is written; that is told as well.
    """
    here = dict(now) if base is None else dict(base.here)
    there = {} if base is None else dict(base.there)
    done = Merged(base=Base(here, there))
    own = frozenset(own)
    for names in _groups({*now, *theirs, *here}, together):
        mine, shops = _of(now, names), _of(theirs, names)
        known = base is not None
        if mine == shops:
            _keep(done.base, names, mine)
        elif own.intersection(names):
            done.changes.update(zip(names, mine, strict=True))
            _keep(done.base, names, mine)
        elif known and mine == _of(here, names):
            continue
        elif known and shops == _of(there, names):
            done.changes.update(zip(names, mine, strict=True))
            _keep(done.base, names, mine)
        else:
            done.differences += [
                Difference(name, one, other)
                for name, one, other in zip(names, mine, shops, strict=True)
                if one != other
            ]
            here.update(zip(names, mine, strict=True))
            if ours_first:
                done.changes.update(zip(names, mine, strict=True))
                there.update(zip(names, mine, strict=True))
            elif not known:
                there.update(zip(names, mine, strict=True))  # not what the shop has: it stays
    return done


def _of(row: Mapping[str, Any], names: Sequence[str]) -> list[Any]:
    return [row.get(name) for name in names]


def _keep(base: Base, names: Sequence[str], values: Sequence[Any]) -> None:
    base.here.update(zip(names, values, strict=True))
    base.there.update(zip(names, values, strict=True))


def _groups(names: set[str], together: Sequence[Sequence[str]]) -> list[tuple[str, ...]]:
    grouped = [tuple(group) for group in together if names.intersection(group)]
    taken = {name for group in grouped for name in group}
    return grouped + [(name,) for name in sorted(names - taken)]


# A trial is one tree of values; its drills are known by their names.

_STEP = "\t"


def flat(tree: Mapping[str, Any]) -> Values:
    """A plain trial as one level of values, each named by its path; drills by their names."""
    found: Values = {}
    for name, value in tree.items():
        if name == "drills":
            found |= {f"drills{_STEP}{one['name']}": one for one in value}
        elif isinstance(value, Mapping):
            found |= {f"{name}{_STEP}{inner}": one for inner, one in flat(value).items()}
        else:
            found[name] = value
    return found


def tree(values: Mapping[str, Any], order: Sequence[str] = ()) -> dict[str, Any]:
    """What `flat` was given; drills in an order of names, further ones behind."""
    found: dict[str, Any] = {}
    for path, value in values.items():
        if value is None:
            continue
        *steps, last = path.split(_STEP)
        place = found
        for step in steps:
            place = place.setdefault(step, {})
        place[last] = value
    drills: dict[str, Any] = found.get("drills", {})
    names = [name for name in order if name in drills]
    found["drills"] = [drills[name] for name in [*names, *(n for n in drills if n not in names)]]
    return found


def shown(name: str) -> str:
    """The name of a value as a person reads it."""
    return name.replace(_STEP, " ").replace("_", " ")
