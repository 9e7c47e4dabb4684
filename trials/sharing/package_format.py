"""How a package is laid out: which files, which columns, and what is said of them."""

from __future__ import annotations

import dataclasses
import re
import types
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from trials.model import CAUTIONS, Drill
from trials.sharing.package_words import TABLE_MEANS, meaning, ucum
from trials.store import PACKED_TABLES, CellKind, PackedColumn, PackedRow
from trials.version import VERSION

FORMAT = 1
DESCRIPTION = "datapackage.json"
TRIAL_FILE = "trial.json"
README = "README.txt"
NAMES = re.compile(
    r"README\.txt|datapackage\.json|trial\.json|[a-z_]{1,40}\.csv"
    r"|traces/run-\d{4,9}-\d{1,4}\.parquet|photos/[0-9a-f]{64}\.jpg"
)

ContentTable = Literal[
    "drills", "runs", "wear", "recordings", "holes", "holes_found", "gaps", "alarms", "edits",
    "photos", "remarks", "proposals",
]  # fmt: skip


def _drill_column(name: str, hint: Any, required: bool) -> PackedColumn:
    absent = False
    if get_origin(hint) in (Union, types.UnionType):
        options = [option for option in get_args(hint) if option is not type(None)]
        absent, hint = len(options) < len(get_args(hint)), options[0]
    kinds: dict[Any, CellKind] = {
        float: "number", int: "whole", bool: "yes_no", str: "text",
    }  # fmt: skip
    kind: CellKind = "text" if get_origin(hint) is Literal else kinds.get(hint, "json")
    return PackedColumn(name, kind, absent or not required)


def _drill_columns() -> tuple[PackedColumn, ...]:
    hints = get_type_hints(Drill)
    return tuple(
        _drill_column(field.name, hints[field.name], field.default is dataclasses.MISSING)
        for field in dataclasses.fields(Drill)
    )


TABLES: dict[ContentTable, tuple[PackedColumn, ...]] = {
    "drills": _drill_columns(),
    "runs": PACKED_TABLES["runs"].columns,
    "wear": PACKED_TABLES["wear"].columns,
    "recordings": (*PACKED_TABLES["recordings"].columns, PackedColumn("trace", "text", True)),
    "holes": PACKED_TABLES["holes"].columns,
    "holes_found": PACKED_TABLES["holes"].columns,
    "gaps": PACKED_TABLES["gaps"].columns,
    "alarms": PACKED_TABLES["alarms"].columns,
    "edits": PACKED_TABLES["edits"].columns,
    "photos": PACKED_TABLES["photos"].columns,
    "remarks": PACKED_TABLES["remarks"].columns,
    "proposals": PACKED_TABLES["proposals"].columns,
}
_PORTION = 1 << 20
TRACE_COLUMNS = ("time_s", "load_pct", "rpm", "depth_mm")

_FRICTIONLESS: dict[CellKind, str] = {
    "text": "string", "number": "number", "whole": "integer", "yes_no": "boolean",
    "time": "datetime", "uuid": "string", "json": "any",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class FileToPack:
    """A trace or a photo: its name in the package, what it must be, and where it is read from."""

    name: str
    sha256: str
    where: str
    portions: Callable[[], Iterable[bytes]]

    @classmethod
    def on_disk(cls, name: str, where: str, path: Callable[[], Path], sha256: str) -> FileToPack:
        """A file on the disk; ``path`` is asked when it is read, and may fetch it."""

        def portions() -> Iterable[bytes]:
            with path().open("rb") as file:
                while part := file.read(_PORTION):
                    yield part

        return cls(name, sha256, where, portions)


@dataclass(frozen=True, slots=True)
class PackageContent:
    """What goes into a package, before it is written.

    Args:
        trial_uuid: key of the trial; created_utc: when it was begun, None when that was removed.
        plain: the trial as `trials.model.plain.to_plain` gives it.
        rows: gives the rows of a table, in order, each time it is asked.
        traces: files of samples; photos: pictures, each once.
        licence: what the user says about passing it on; empty when nothing was said.
        removed: names of what was removed, see `trials.sharing.redaction`.
        runs: how many there are, for progress.
    """

    trial_uuid: UUID
    created_utc: datetime | None
    plain: dict[str, Any]
    rows: Callable[[ContentTable], Iterable[PackedRow]]
    traces: tuple[FileToPack, ...]
    licence: str = ""
    removed: tuple[str, ...] = ()
    photos: tuple[FileToPack, ...] = ()


def trace_name(run: int, recording: int) -> str:
    """Name of a trace in a package."""
    return f"traces/run-{run:04d}-{recording}.parquet"


def photo_name(sha256: str) -> str:
    """Name of a photo in a package."""
    return f"photos/{sha256}.jpg"


def columns_of(table: ContentTable, removed: Iterable[str]) -> tuple[PackedColumn, ...]:
    """Columns of a table; where something was removed, any value but a text may be absent."""
    if not tuple(removed):
        return TABLES[table]
    return tuple(
        column if column.kind == "text" else dataclasses.replace(column, may_be_absent=True)
        for column in TABLES[table]
    )


def describe(
    content: PackageContent, files: dict[str, tuple[str, int]], rows: dict[ContentTable, int]
) -> dict[str, Any]:
    """The description of a package (Data Package, https://datapackage.org, version 2).

    Args:
        content: what was written.
        files: SHA-256 and length in bytes of every file, in their order.
        rows: number of rows of every table.
    """
    name = str(content.plain["name"])
    found: dict[str, Any] = {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": f"trial-{content.trial_uuid}",
        "id": str(content.trial_uuid),
        "title": f"Drilling trial: {name}",
        "description": "Test holes drilled to find the drill and the cutting data of the cheapest "
        "hole. " + ("Invented demonstration data. " if content.plain.get("invented") else "")
        + CAUTIONS,
        "holewise": {
            "format": FORMAT,
            "program": "holewise",
            "version": VERSION,
            "trial": str(content.trial_uuid),
            "removed": list(content.removed),
            "currency": content.plain.get("economics", {}).get("currency", ""),
            "unitSystem": "http://unitsofmeasure.org",
        },
    }  # fmt: skip
    if content.created_utc is not None:
        found["created"] = content.created_utc.strftime("%Y-%m-%dT%H:%M:%SZ")
    if content.licence:
        found["licenses"] = [licence_entry(content.licence)]
    found["resources"] = [
        _resource(path, digest, size, rows, content.removed)
        for path, (digest, size) in files.items()
    ]
    return found


def licence_entry(licence: str) -> dict[str, str]:
    """A licence by its Open Definition name, else as a title in the user's own words."""
    if re.fullmatch(r"[A-Za-z0-9][-._A-Za-z0-9]*", licence):
        return {"name": licence}
    return {"name": "other-closed", "title": licence}


def _resource(
    path: str,
    digest: str,
    size: int,
    rows: dict[ContentTable, int],
    removed: tuple[str, ...],
) -> dict[str, Any]:
    stem = path.rpartition(".")[0].replace("/", "-").replace("_", "-").lower()
    found: dict[str, Any] = {"name": stem, "path": path}
    if path.endswith(".csv"):
        table: ContentTable = path.removesuffix(".csv")  # type: ignore[assignment]  # the writer only knows these names
        found |= {
            "type": "table",
            "description": TABLE_MEANS[table],
            "format": "csv",
            "mediatype": "text/csv",
            "encoding": "utf-8",
            "rowCount": rows[table],
            "dialect": {"delimiter": ",", "quoteChar": '"', "doubleQuote": True},
            "schema": {"fields": [_field(one) for one in columns_of(table, removed)],
                       "missingValues": [""]},
        }  # fmt: skip
    elif path.endswith(".parquet"):
        found |= {
            "type": "file",  # a validator that reads it as a table cannot count its bytes
            "description": "Samples of one recording.",
            "format": "parquet",
            "mediatype": "application/vnd.apache.parquet",
            "schema": {"fields": [
                _field(PackedColumn(name, "number", name in ("rpm", "depth_mm")))
                for name in TRACE_COLUMNS
            ]},
        }  # fmt: skip
    elif path.endswith(".jpg"):
        found |= {"description": "A photo of a drill; photos.csv says of which run and hole.",
                  "format": "jpg", "mediatype": "image/jpeg"}  # fmt: skip
    elif path == TRIAL_FILE:
        found |= {"description": "The trial: machine, work, hole, limits and what things cost.",
                  "format": "json", "mediatype": "application/json"}  # fmt: skip
    else:
        found |= {"description": "Read this first.", "format": "txt", "mediatype": "text/plain"}
    return {**found, "bytes": size, "hash": f"sha256:{digest}"}


def _field(column: PackedColumn) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": column.name,
        "type": _FRICTIONLESS[column.kind],
        "description": meaning(column.name),
    }
    if column.kind == "time":
        found["format"] = "%Y-%m-%dT%H:%M:%S.%fZ"
    if column.kind in ("number", "whole", "json") and (unit := ucum(column.name)) is not None:
        found["unit"] = unit
    if column.kind not in ("text", "json") and not column.may_be_absent:
        found["constraints"] = {"required": True}
    return found


def readme(content: PackageContent) -> str:
    """What a person reads first."""
    plain = content.plain
    removed = (
        f"Removed by the sender before it was sent: {', '.join(content.removed)}.\n"
        if content.removed
        else ""
    )
    licence = content.licence or "none was stated; ask the sender before you pass it on."
    return f"""\
Drilling trial: {plain["name"]}

{"Invented demonstration data: no real machine, drill or shop." if plain.get("invented") else ""}
This is a record of test holes: which drills were tried with which speed, feed and pecking, the load
of the spindle while they drilled, the wear seen on them, and how each drill ended. It was written
by Holewise {VERSION}.

How to look into it
  drills.csv, runs.csv, wear.csv, holes.csv and the other .csv files open in any spreadsheet: commas
  between columns, decimal points, UTF-8. A row of runs.csv is one drill edge from fresh to its end.
  remarks.csv and proposals.csv hold what was answered; see below.
  trial.json holds the machine, the work, the hole and the limits of the trial as text.
  photos/ holds photos of drills, without anything beside the picture; photos.csv says of which run.
  traces/ holds the recorded spindle load as Parquet, a file format that data tools read.
  datapackage.json says what every column means and in which unit (UCUM codes), and holds a checksum
  of every file (Frictionless Data Package, https://datapackage.org).

An apostrophe before a text that begins with = + - or @ keeps a spreadsheet from running it.

To answer, without a shop's data: holewise package answer FILE --out ANSWER --remark "..."
--propose "90 m/min, 0.18 mm/rev". Or fill in proposals.csv in a spreadsheet, a row a proposal with
drill, speed_m_per_min and feed_mm_per_rev, and send that file back, or put it into the package with
--proposals FILE. Proposals are checked by the shop before anything is drilled.

{removed}Licence: {licence}

Changed by hand? Then it no longer matches its checksums and is refused as a package. The tables can
still be read as plain files. 'holewise package verify FILE' says whether it is as it was written. A
checksum shows damage and careless edits; it does not prove who wrote a package.

{CAUTIONS}
"""
