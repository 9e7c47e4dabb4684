"""An answer to a package: remarks and proposed cutting data, without a shop's data.

The answer is the same package with rows added to ``remarks.csv`` and ``proposals.csv``, sealed
anew; everything else stays as it was. The key of a row follows from what it says, so the same
answer given twice is one answer.
"""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from trials import units
from trials.errors import InputError, require
from trials.model import PECK_MODES, CuttingData
from trials.model.plain import to_plain
from trials.sharing.package_format import ContentTable, FileToPack, PackageContent
from trials.sharing.package_read import MOST_REMARK, Package, open_package, verify_package
from trials.sharing.package_write import Told, write_package
from trials.sharing.sheet_cells import decimal_mark, read_number, read_text, read_word
from trials.sharing.sheet_columns import is_known, split_header
from trials.sharing.sheet_read import Sheet, read_sheet
from trials.sharing.sheet_words import FIELDS, PECKS_CALLED, UNITS, FieldName, is_unit, plain_words
from trials.store import PackedRow, now_utc

_CUTTING = tuple(field.name for field in fields(CuttingData))
_EMPTY = CuttingData(1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Remark:
    """What somebody remarks on a run, or with None on the whole trial."""

    text: str
    run: int | None = None

    def __post_init__(self) -> None:
        require(0 < len(self.text.strip()) <= MOST_REMARK, "remark", self.text,
                f"1 to {MOST_REMARK:,} characters")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Proposal:
    """Cutting data that somebody proposes to test with a drill, and why."""

    drill: str
    cutting_data: CuttingData
    why: str = ""


def read_cutting_data(text: str) -> CuttingData:
    """``90 m/min, 0.18 mm/rev`` or ``300 sfm; 0.007 in/rev; chip_break 1 xD``.

    Raises:
        InputError: speed and feed are not there, or are no such values.
    """
    parts = [part.strip() for part in re.split(r";|,(?=\s)", text) if part.strip()]
    require(len(parts) in (2, 3), "proposed cutting data", text,
            "speed, feed and perhaps pecking, such as '90 m/min, 0.18 mm/rev, chip_break 1 xD'"
            )  # fmt: skip
    speed = units.parse(parts[0], to="m/min", what="proposed speed")
    feed = units.parse(parts[1], to="mm/rev", what="proposed feed")
    if len(parts) == 2:
        return CuttingData(speed, feed)
    hit = re.fullmatch(r"([a-z_ ]+?)\s*(?:([\d.,]+)\s*(?:x\s*D|×\s*D)?)?", parts[2], re.IGNORECASE)
    mode = "" if hit is None else hit[1].strip().lower().replace(" ", "_")
    known = {name: name for name in PECK_MODES}
    if hit is None or mode not in known or (mode != "none" and not hit[2]):
        raise InputError("proposed pecking", got=parts[2],
                         allowed="none, chip_break 1 xD or full_retract 1 xD")  # fmt: skip
    if mode == "none":
        return CuttingData(speed, feed)
    depth_xd = units.parse_number(hit[2], what="proposed peck depth")
    return CuttingData(speed, feed, known[mode], depth_xd)


def answer_package(
    path: Path,
    out: Path,
    *,
    remarks: Sequence[Remark] = (),
    proposals: Sequence[Proposal] = (),
    sheet: Path | None = None,
    made_by: str = "",
    replace: bool = False,
    on_progress: Told | None = None,
) -> tuple[int, int]:
    """Write an answered package; how many remarks and proposals were added to it.

    Args:
        path: the package, which stays as it is.
        out: the answered one.
        remarks, proposals: what is answered.
        sheet: proposals filled in in a spreadsheet; columns as in ``proposals.csv``, or with the
            names that sheets of runs may have.
        made_by: who answers.
        replace: write over ``out``.
        on_progress: told the share that is done.

    Raises:
        InputError: the package is not whole, or something names a run or drill it does not have.
        ConflictError: ``out`` is there already.
    """
    require(len(made_by) <= 100, "who answers", made_by, "at most 100 characters")
    verify_package(path)
    with open_package(path) as package:
        drills = [str(drill["name"]) for drill in package.plain["drills"]]
        if sheet is not None:
            proposals = (*proposals, *read_proposals(sheet.read_bytes(), sheet.name, drills))
        runs = {row["number"] for row in package.rows("runs")}
        for one in remarks:
            require(one.run is None or one.run in runs, "run of a remark", one.run,
                    f"one of {', '.join(map(str, sorted(runs)))}, or none")  # fmt: skip
        for proposal in proposals:
            require(proposal.drill in drills, "drill of a proposal", proposal.drill,
                    f"one of {', '.join(drills)}")  # fmt: skip
        new = answer_rows(package.trial_uuid, remarks, proposals, made_by)
        known = {row["uuid"] for table in new for row in package.rows(table)}
        new = {table: [row for row in rows if row["uuid"] not in known]
               for table, rows in new.items()}  # fmt: skip
        write_package(out, _content(package, new), replace=replace, on_progress=on_progress)
    return len(new["remarks"]), len(new["proposals"])


def answer_rows(
    trial_key: uuid.UUID, remarks: Iterable[Remark], proposals: Iterable[Proposal], made_by: str
) -> dict[ContentTable, list[PackedRow]]:
    """Remarks and proposals as rows of their tables, each once."""
    now = now_utc()
    rows: dict[ContentTable, list[PackedRow]] = {"remarks": [], "proposals": []}
    for one in remarks:
        rows["remarks"].append({"run": one.run, "text": one.text.strip()})
    for proposal in proposals:
        rows["proposals"].append({"run": None, "drill": proposal.drill,
                                  **asdict(proposal.cutting_data), "why": proposal.why.strip()}
                                 )  # fmt: skip
    for table, found in rows.items():
        keyed = {}
        for row in found:
            said = json.dumps([table, made_by.strip(), row], sort_keys=True)
            key = uuid.uuid5(trial_key, said)
            keyed[key] = {**row, "uuid": key, "made_by": made_by.strip(), "made_utc": now}
        rows[table] = list(keyed.values())
    return rows


def _content(package: Package, new: Mapping[ContentTable, list[PackedRow]]) -> PackageContent:
    def rows(table: ContentTable) -> Iterable[PackedRow]:
        yield from package.rows(table)
        yield from new.get(table, ())

    def files(names: Iterable[str]) -> tuple[FileToPack, ...]:
        return tuple(
            FileToPack(name, package.checksum(name), f"{package.path.name}, {name}",
                       lambda name=name: package.portions(name))  # type: ignore[misc]  # each its own name
            for name in names
        )  # fmt: skip

    return PackageContent(
        package.trial_uuid, package.created(), package.plain, rows, files(package.trace_names()),
        package.licence, package.removed, files(package.photo_names()),
    )  # fmt: skip


def read_proposals(data: bytes, name: str, drills: Sequence[str]) -> list[Proposal]:
    """Proposals as a spreadsheet program saves them; rows with a key are in the package already.

    Raises:
        InputError: a cell that cannot be; says its line and column.
    """
    own = {plain_words(one): one for one in (*_CUTTING, "drill", "why", "uuid")}

    def known(cell: str) -> bool:
        return plain_words(cell) in own or is_known(cell)

    sheet = read_sheet(data, name, known, is_unit)
    at = _columns(sheet, own)
    decimal = decimal_mark((cell for row in sheet.rows for cell in row.cells), sheet.delimiter)
    found = []
    for row in sheet.rows:
        cells = {key: row.cells[place] if place < len(row.cells) else ""
                 for key, (place, _) in at.items()}  # fmt: skip
        if cells.get("uuid") or not any(cells.values()):
            continue
        where = f"{name}, line {row.line}, column"
        values: dict[str, Any] = {}
        for key in _CUTTING:
            cell = cells.get(key, "")
            if key == "peck_mode" and cell:
                values[key] = read_word(cell, f"{where} {key}", PECKS_CALLED)
            elif cell:
                field = FIELDS.get(key)  # type: ignore[call-overload]  # some are fields of sheets too
                unit = field.unit if field else ""
                values[key] = read_number(cell, f"{where} {key}", decimal, unit=unit,
                                          said=at[key][1])  # fmt: skip
        for key in ("speed_m_per_min", "feed_mm_per_rev"):
            require(key in values, f"{where} {key}", "nothing", "a value")
        plain = {plain_words(one): one for one in drills}
        drill = cells.get("drill") or drills[0]
        require(plain_words(drill) in plain, f"{where} drill", drill, ", ".join(drills))
        why = read_text(cells.get("why", ""), f"{where} why", MOST_REMARK)
        data_of = {**to_plain(_EMPTY), **values}
        found.append(Proposal(plain[plain_words(drill)], CuttingData(**data_of), why))
    return found


def _columns(sheet: Sheet, own: Mapping[str, str]) -> dict[str, tuple[int, str]]:
    """Place and unit of each column that says something."""
    words: tuple[FieldName, ...] = ("drill", "speed_m_per_min", "feed_mm_per_rev", "peck_mode")
    at: dict[str, tuple[int, str]] = {}
    for place, header in enumerate(sheet.header.cells):
        name, unit = split_header(header)
        key = own.get(plain_words(header))
        if key is None:
            key = next((field for field in words if name in FIELDS[field].words), None)
            key = "why" if key is None and name in FIELDS["note"].words else key
        else:
            unit = ""
        if key is not None:
            table = UNITS.get(FIELDS[key].unit, {}) if key in FIELDS else {}
            at.setdefault(key, (place, unit if unit in table else ""))
    for key in ("speed_m_per_min", "feed_mm_per_rev"):
        require(key in at, f"sheet {sheet.name}: column", ", ".join(sheet.header.cells)[:300], key)
    return at
