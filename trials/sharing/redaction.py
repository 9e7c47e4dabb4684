"""Take out of a package what is nobody else's business, before a byte of it is written.

What is removed is chosen by name. Texts are removed unless they are known to be harmless, so a text
that is added to the program later is removed until somebody has thought about it. Where a removed
name also stands inside a text that stays, such as the name of a drill, it is removed there too.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal, get_args

from trials.errors import require
from trials.model import NO_CURRENCY
from trials.sharing.package_format import TABLES, ContentTable, PackageContent
from trials.store import PackedRow

Removal = Literal["prices", "names", "machines", "people", "photos", "times", "notes"]
REMOVALS: dict[Removal, str] = {
    "prices": "prices, rates and every other amount of money",
    "names": "the name of the trial and of the hole, and batches: customers and parts",
    "machines": "names of machines, and where recordings came from",
    "people": "who made, mended, acknowledged or proposed something",
    "photos": "photos of drills, with what is written about them",
    "times": "dates and times of day; times within a recording stay",
    "notes": "everything that was written freely; goes with each of the others but photos",
}
REMOVED = "removed"

# Where a text lies in the trial, and what it tells; "*" is any place in a list.
_IN_TRIAL: dict[tuple[str, ...], Removal] = {
    ("name",): "names",
    ("hole", "name"): "names",
    ("machine", "name"): "machines",
    ("overruled", "*", "by"): "people",
}
_STAYS_IN_TRIAL = {
    ("work", "material"), ("work", "group"), ("work", "like"), ("hole", "tolerance"),
    ("hole", "finish"), ("economics", "currency"), ("drills", "*", "name"),
    ("drills", "*", "substrate"), ("drills", "*", "coating"), ("drills", "*", "maker"),
    ("drills", "*", "form"), ("drills", "*", "length"), ("drills", "*", "tolerance"),
    ("drill_starts", "*", "drill"), ("overruled", "*", "drill"), ("overruled", "*", "rule"),
    ("start", "peck_mode"), ("bounds", "peck_modes", "*"),
    ("drill_starts", "*", "start", "peck_mode"),
    ("drill_starts", "*", "bounds", "peck_modes", "*"),
}  # fmt: skip
_NOT_MONEY = {
    "tool_change_min", "inspect_every_holes", "inspect_min", "scrap_share", "regrinds",
    "life_lost_per_regrind",
}  # fmt: skip
_MONEY_OF_DRILL = {"price", "regrind_cost"}

_IN_ROWS: dict[tuple[ContentTable, str], tuple[Removal, ...]] = {
    ("runs", "batch"): ("names",),
    ("runs", "machine"): ("machines",),
    ("recordings", "source"): ("machines", "names", "people", "times"),
    ("recordings", "line_format"): ("machines",),
    ("recordings", "mapping"): ("machines",),
    ("recordings", "counters"): ("machines",),
    ("gaps", "reason"): ("machines", "names", "people", "times"),
    ("alarms", "text"): ("machines", "names", "people", "times"),
    ("alarms", "acknowledged_by"): ("people",),
    ("edits", "made_by"): ("people",),
    ("edits", "undone_by"): ("people",),
    ("photos", "who"): ("people",),
    ("remarks", "made_by"): ("people",),
    ("proposals", "made_by"): ("people",),
}
_STAYS_IN_ROWS = {
    ("runs", "drill"), ("runs", "peck_mode"), ("runs", "state"), ("runs", "end"),
    ("runs", "origin"), ("recordings", "kind"), ("recordings", "trace"), ("holes", "flags"),
    ("holes_found", "flags"), ("alarms", "kind"), ("edits", "kind"),
    ("proposals", "drill"), ("proposals", "peck_mode"), ("photos", "sha256"),
    ("edits", "spans"), ("edits", "made"),
    ("holes", "peck_peaks_pct"), ("holes_found", "peck_peaks_pct"),
}  # fmt: skip
_WRITTEN_BY_PEOPLE = {
    ("work", "material"), ("work", "like"), ("hole", "tolerance"), ("drills", "*", "name"),
    ("drills", "*", "maker"), ("drill_starts", "*", "drill"), ("overruled", "*", "drill"),
    ("runs", "drill"), ("proposals", "drill"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class RemovedField:
    """One line of the preview: a field of a file, why it goes, and how many values it has."""

    file: str
    field: str
    removal: Removal
    values: int


def removals(names: Iterable[str]) -> tuple[Removal, ...]:
    """Check what a person chose; notes go with everything but photos.

    Raises:
        InputError: not one of `REMOVALS`.
    """
    chosen = list(names)
    for name in chosen:
        require(name in get_args(Removal), "what to remove", name, ", ".join(get_args(Removal)))
    if set(chosen) - {"photos"}:
        chosen.append("notes")
    return tuple(name for name in get_args(Removal) if name in chosen)


def without(content: PackageContent, chosen: tuple[Removal, ...]) -> PackageContent:
    """The content of a package without what was chosen; see `removals`."""
    if not chosen:
        return content
    redactor = _Redactor(content, set(chosen))
    return replace(
        content,
        created_utc=None if "times" in chosen else content.created_utc,
        plain=redactor.plain,
        rows=redactor.rows,
        removed=tuple(dict.fromkeys((*content.removed, *chosen))),
        photos=() if "photos" in chosen else content.photos,
    )


def preview(content: PackageContent, chosen: tuple[Removal, ...]) -> list[RemovedField]:
    """What would be removed, one line a field, with how many values it has."""
    redactor = _Redactor(content, set(chosen))
    counts: dict[tuple[str, str, Removal], int] = {}
    for path, _ in _leaves(content.plain):
        why = redactor.why_in_trial(path)
        if why is not None:
            file = "drills.csv" if path[0] == "drills" else "trial.json"
            key = (file, ".".join(part for part in path if part != "*"), why)
            counts[key] = counts.get(key, 0) + 1
    if "times" in chosen and content.created_utc is not None:
        counts[("trial.json", "created_utc", "times")] = 1
    for table, columns in TABLES.items():
        reasons = {column.name: redactor.why_in_rows(table, column.name) for column in columns}
        if table == "photos" and "photos" in chosen:
            if count := sum(1 for _ in content.rows(table)):
                counts[("photos.csv", "photos", "photos")] = count
            continue
        if table == "drills" or not any(reasons.values()):
            continue
        for row in content.rows(table):
            for name, why in reasons.items():
                if why is not None and row.get(name) not in (None, "", {}, []):
                    counts[(f"{table}.csv", name, why)] = (
                        counts.get((f"{table}.csv", name, why), 0) + 1
                    )
    return [RemovedField(*key, count) for key, count in counts.items()]


class _Redactor:
    def __init__(self, content: PackageContent, chosen: set[Removal]) -> None:
        self._content = content
        self._chosen = chosen
        self._kinds = {
            (table, column.name): column.kind for table in TABLES for column in TABLES[table]
        }
        self._other_names: dict[tuple[str, str], str] = {}
        self._names = self._removed_names()
        self.plain = self._trial()

    def why_in_trial(self, path: tuple[str, ...]) -> Removal | None:
        """Why a value of the trial goes; None when it stays."""
        why: Removal | None = None
        money = path[0] == "economics" and path[-1] not in _NOT_MONEY
        if money or (path[0] == "drills" and path[-1] in _MONEY_OF_DRILL):
            why = "prices"
        elif path in _IN_TRIAL:
            why = _IN_TRIAL[path]
        elif path not in _STAYS_IN_TRIAL and self._is_text(path):
            why = "notes"
        return why if why in self._chosen else None

    def why_in_rows(self, table: ContentTable, column: str) -> Removal | None:
        """Why a column of a table is emptied; None when it stays."""
        kind = self._kinds[(table, column)]
        if kind == "time":
            reasons: tuple[Removal, ...] = ("times",)
        elif (table, column) in _IN_ROWS:
            reasons = _IN_ROWS[(table, column)]
        elif kind in ("text", "json") and (table, column) not in _STAYS_IN_ROWS:
            reasons = ("notes",)
        else:
            return None
        return next((reason for reason in reasons if reason in self._chosen), None)

    def rows(self, table: ContentTable) -> Iterator[PackedRow]:
        """Rows of a table without what goes."""
        if table == "photos" and "photos" in self._chosen:
            return
        gone = {
            column.name: self._kinds[(table, column.name)]
            for column in TABLES[table]
            if self.why_in_rows(table, column.name) is not None
        }
        scrubbed = [
            column.name for column in TABLES[table] if (table, column.name) in _WRITTEN_BY_PEOPLE
        ]
        for row in self._content.rows(table):
            kept = dict(row)
            for name, kind in gone.items():
                if table == "runs" and name in ("batch", "machine"):
                    kept[name] = self._other_name(name, kept[name])
                else:
                    kept[name] = {"time": None, "json": {}}.get(kind, REMOVED if kept[name] else "")
            for name in scrubbed:
                kept[name] = self._scrub(kept[name])
            yield kept

    def _trial(self) -> dict[str, Any]:
        found: dict[str, Any] = self._without(self._content.plain, ())
        if "names" in self._chosen:
            found["name"] = f"trial-{str(self._content.trial_uuid)[:8]}"
        if "prices" in self._chosen:
            found["economics"]["currency"] = NO_CURRENCY
        return found

    def _without(self, value: Any, path: tuple[str, ...]) -> Any:
        if isinstance(value, dict):
            return {
                name: self._without(part, (*path, name))
                for name, part in value.items()
                if isinstance(part, dict | list) or self.why_in_trial((*path, name)) is None
            }
        if isinstance(value, list):
            inside = (*path, "*")
            return [
                REMOVED
                if isinstance(part, str) and self.why_in_trial(inside)
                else self._without(part, inside)
                for part in value
            ]
        return self._scrub(value) if path in _WRITTEN_BY_PEOPLE else value

    def _is_text(self, path: tuple[str, ...]) -> bool:
        return any(
            isinstance(value, str) for at, value in _leaves(self._content.plain) if at == path
        )

    def _other_name(self, column: str, name: str) -> str:
        """The same name for the same batch or machine, so that runs can still be told apart."""
        if not name:
            return ""
        return self._other_names.setdefault(
            (column, name),
            f"{column} {1 + sum(one == column for one, _ in self._other_names)}",
        )

    def _removed_names(self) -> re.Pattern[str] | None:
        names: set[str] = set()
        for path, value in _leaves(self._content.plain):
            if path in _IN_TRIAL and _IN_TRIAL[path] in self._chosen:
                names.add(str(value))
        for table, column in _IN_ROWS:
            if self._kinds[(table, column)] == "text" and self.why_in_rows(table, column):
                names |= {str(row.get(column) or "") for row in self._content.rows(table)}
        longest = sorted((name for name in names if name.strip()), key=lambda one: (-len(one), one))
        if not longest:
            return None
        return re.compile(
            r"(?<!\w)(?:" + "|".join(map(re.escape, longest)) + r")(?!\w)", re.IGNORECASE
        )

    def _scrub(self, text: Any) -> Any:
        if self._names is None or not isinstance(text, str):
            return text
        return self._names.sub(REMOVED, text)


def _leaves(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    if isinstance(value, dict):
        for name, part in value.items():
            yield from _leaves(part, (*path, name))
    elif isinstance(value, list):
        for part in value:
            yield from _leaves(part, (*path, "*"))
    elif value is not None:
        yield path, value
