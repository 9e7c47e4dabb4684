"""Rows of a shop's own sheet as runs of a trial: each becomes one run, or is refused and why."""

from __future__ import annotations

import hashlib
import json
import statistics
import uuid
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, NoReturn

from trials.errors import InputError
from trials.mechanics import rpm as spindle_speed
from trials.mechanics import speed_m_per_min
from trials.model import CuttingData, Drill, End, PeckMode, Run, Trial, WearReading
from trials.model.plain import to_plain
from trials.sharing.sheet_cells import (
    DayOrder,
    DecimalMark,
    day_order,
    decimal_mark,
    number_or_none,
    read_day,
    read_number,
    read_peck,
    read_text,
    read_word,
)
from trials.sharing.sheet_columns import ColumnMatch, is_known, match_columns
from trials.sharing.sheet_read import Sheet, SheetRow, read_sheet
from trials.sharing.sheet_values import Refused, SheetChoices, SheetRun, SheetRuns
from trials.sharing.sheet_words import (
    ENDS_CALLED,
    FIELDS,
    PECKS_CALLED,
    FieldName,
    is_unit,
    made_of,
    plain_words,
)

_SAME = 0.1  # a diameter or depth further from the trial's than this share is another hole
_LONGEST = {"batch": 100, "machine": 100, "drill": 100, "note": 2000, "label": 100, "material": 200}


def sheet_runs(
    data: bytes, name: str, trial: Trial, trial_key: uuid.UUID, choices: SheetChoices
) -> SheetRuns:
    """Read a sheet of earlier runs.

    Args:
        data, name: the file.
        trial, trial_key: the trial that the runs are to belong to.
        choices: what a person says of it.

    Raises:
        InputError: not a sheet that can be read, or without a column that a run needs.
    """
    sheet = read_sheet(data, name, is_known, is_unit)
    cells = [cell for row in sheet.rows for cell in row.cells]
    decimal = choices.decimal or decimal_mark(cells, sheet.delimiter)
    columns = match_columns(sheet, choices.columns, decimal, inch=bool(choices.inch))
    reader = _Reader(sheet, columns, decimal, trial, choices)
    found: list[SheetRun] = []
    refused = []
    seen: dict[str, int] = {}
    for row in sheet.rows if reader.problem is None else ():
        try:
            run, day = reader.run(row, len(found) + 1)
        except _InCellError as problem:
            refused.append(Refused(row.line, problem.column, problem.why))
            continue
        except InputError as error:
            refused.append(Refused(row.line, "", error))
            continue
        text = json.dumps([to_plain(replace(run, number=1)), str(day)], sort_keys=True)
        seen[text] = seen.get(text, 0) + 1
        key = uuid.uuid5(trial_key, f"{seen[text]} {text}")
        said = f"{name}, line {row.line}" + (f", {reader.label}" if reader.label else "")
        note = f"{run.note} ({said})".strip() if run.note else f"from {said}"
        found.append(SheetRun(row.line, key, replace(run, note=note), day))
    return SheetRuns(
        sheet, columns, decimal, tuple(found), tuple(refused), tuple(reader.new.values()),
        tuple(reader.remarks), hashlib.sha256(data).hexdigest(), reader.problem,
    )  # fmt: skip


class _InCellError(Exception):
    """What is wrong in one cell."""

    def __init__(self, column: str, why: InputError) -> None:
        super().__init__(str(why))
        self.column, self.why = column, why


class _Reader:
    def __init__(
        self, sheet: Sheet, columns: Sequence[ColumnMatch], decimal: DecimalMark, trial: Trial,
        choices: SheetChoices,
    ) -> None:  # fmt: skip
        self._sheet, self._decimal, self._trial, self._choices = sheet, decimal, trial, choices
        self._at: dict[FieldName, ColumnMatch] = {
            one.field: one for one in columns if one.field is not None
        }
        self.remarks: list[str] = []
        self.new: dict[str, Drill] = {}
        self.label = ""
        self._drills = {plain_words(one.name): one for one in trial.drills}
        self._days = choices.days or self._day_order()
        self._material = self._which_material()
        self.problem = self._missing_column()

    def run(self, row: SheetRow, number: int) -> tuple[Run, datetime | None]:
        """The run of a row."""
        wanted = len(self._sheet.header.cells)
        extra = [cell for cell in row.cells[wanted:] if cell]
        if extra or len(row.cells) < 2 < wanted:
            raise InputError(
                f"{self._sheet.name}, line {row.line}", got=len(row.cells),
                allowed=f"{wanted} cells, as in the header",
                do="Is it a sum or a remark, or is the delimiter another one in this line?",
            )  # fmt: skip
        self._row = row
        self._same_hole()
        drill = self._drill()
        data = self._cutting_data(drill)
        holes, life = self._holes()
        end = self._end(life)
        note = self._text("note")
        self.label = self._text("label")
        run = Run(
            number, drill.name, data, "ended", end, holes,
            self._number("load_fresh_pct"), self._number("load_worn_pct"),
            self._number("cycle_min"), self._wear(holes), note=note, batch=self._text("batch"),
            machine=self._text("machine"),
            regrinds_done=int(self._number("regrinds_done") or 0),
        )  # fmt: skip
        day = None
        if cell := self._cell("date"):
            day = self._in_cell("date", lambda place: read_day(cell, place, self._days))
        return run, day

    # What a cell says

    def _cell(self, name: FieldName) -> str:
        match = self._at.get(name)
        if match is None or match.number > len(self._row.cells):
            return ""
        return self._row.cells[match.number - 1]

    def _in_cell(self, name: FieldName, read: Any) -> Any:
        header = self._at[name].header
        try:
            return read(f"{self._sheet.name}, line {self._row.line}, column {header}")
        except InputError as error:
            raise _InCellError(header, error) from None

    def _number(self, name: FieldName) -> float | None:
        cell, field_ = self._cell(name), FIELDS[name]
        if cell in ("", "-", "–", "—", "n/a", "N/A"):
            return None
        found: float = self._in_cell(
            name,
            lambda place: read_number(
                cell, place, self._decimal, unit=field_.unit, said=self._at[name].unit,
                whole=field_.kind == "whole", span=field_.span,
            ),
        )  # fmt: skip
        return found

    def _needed(self, *names: FieldName) -> float:
        values = [self._number(name) for name in names]
        found = next((value for value in values if value is not None), None)
        if found is None:
            name = next(name for name in names if name in self._at)
            self._refuse(name, None, f"the {FIELDS[name].means}", "The cell is empty.")
        return found

    def _refuse(self, name: FieldName, got: str | None, allowed: str, do: str | None) -> NoReturn:
        header = self._at[name].header
        place = f"{self._sheet.name}, line {self._row.line}, column {header}"
        raise _InCellError(header, InputError(place, got=got, allowed=allowed, do=do))

    def _text(self, name: FieldName) -> str:
        cell = self._cell(name)
        if not cell:
            return ""
        found: str = self._in_cell(name, lambda place: read_text(cell, place, _LONGEST[name]))
        return found

    # What a row says

    def _same_hole(self) -> None:
        hole = self._trial.hole
        mine_of: dict[FieldName, float] = {
            "diameter_mm": hole.diameter_mm, "depth_mm": hole.depth_mm,
        }  # fmt: skip
        for name, mine in mine_of.items():
            theirs = self._number(name)
            if theirs is not None and abs(theirs - mine) > _SAME * mine:
                means = FIELDS[name].means
                self._refuse(name, f"{theirs:g} mm", f"the {means} of the trial, {mine:g} mm",
                             "Another hole belongs in a trial of its own.")  # fmt: skip
        material = self._text("material")
        if material and plain_words(material) != self._material:
            self._refuse(
                "material", material,
                f"the work material of the trial, {self._trial.work.material}",
                "Another material belongs in a trial of its own; if it is the same by another "
                "name, say so.",
            )  # fmt: skip

    def _drill(self) -> Drill:
        name = self._text("drill")
        if not name:
            return self._trial.drill()
        known = self._drills.get(plain_words(name)) or self.new.get(plain_words(name))
        if known is not None:
            return known
        substrate = made_of(name) or self._choices.new_drills
        if substrate is None:
            drills = ", ".join(one.name for one in self._trial.drills)
            self._refuse("drill", name, f"a drill of the trial: {drills}",
                         "Say what new drills are made of, such as --new-drills carbide, and they "
                         "are added to the trial."
                         )  # fmt: skip
        diameter = self._number("diameter_mm") or self._trial.hole.diameter_mm
        self.new[plain_words(name)] = Drill(name, diameter, substrate)
        self._remark("New drills are added without a price; costs of them say too little.")
        return self.new[plain_words(name)]

    def _cutting_data(self, drill: Drill) -> CuttingData:
        diameter = self._number("diameter_mm") or drill.diameter_mm
        speed = self._number("speed_m_per_min")
        if speed is None:
            speed = speed_m_per_min(self._needed("rpm", "speed_m_per_min"), diameter)
        feed = self._number("feed_mm_per_rev")
        if feed is None:
            rate = self._needed("feed_rate_mm_per_min", "feed_mm_per_rev")
            feed = rate / (self._number("rpm") or spindle_speed(speed, diameter))
        mode, depth_xd = self._pecking(diameter)
        if mode == "none":
            return CuttingData(round(speed, 3), round(feed, 6))
        if not depth_xd:
            raise InputError(
                f"{self._sheet.name}, line {self._row.line}: peck depth", got="nothing",
                allowed="a depth, because it pecks",
                do="Write it behind the kind of pecking, such as 'chip break 1 x D'.",
            )  # fmt: skip
        return CuttingData(round(speed, 3), round(feed, 6), mode, round(depth_xd, 4))

    def _pecking(self, diameter_mm: float) -> tuple[PeckMode, float | None]:
        """Kind and depth of pecking, from one column or two, whichever says which."""
        mode: PeckMode | None = None
        depth_xd: float | None = None
        names: tuple[FieldName, ...] = ("peck_mode", "peck_depth_mm")
        for name in names:
            if self._cell(name) in ("", "-", "–", "—", "n/a", "N/A"):
                continue
            its_mode, mm, xd = self._in_cell(name, self._read_peck(name))
            mode = mode or its_mode
            depth_xd = depth_xd or xd or (None if mm is None else mm / diameter_mm)
        if mode is None and depth_xd:
            if not self._cell("peck_mode"):
                self._remark("Peck depths without a kind of pecking were taken as full retract.")
            mode = "full_retract"
        return mode or "none", depth_xd

    def _read_peck(self, name: FieldName) -> Any:
        cell, match = self._cell(name), self._at[name]
        said = match.unit if name == "peck_depth_mm" and match.unit else "mm"
        return lambda place: read_peck(cell, place, self._decimal, PECKS_CALLED, said)

    def _holes(self) -> tuple[int, bool]:
        """Holes drilled, and whether that was the life of the edge."""
        life = self._number("life")
        if life is not None:
            return int(life), True
        length_m = self._number("life_m")
        if length_m is not None:
            depth_mm = self._number("depth_mm") or self._trial.hole.depth_mm
            return max(1, round(1000 * length_m / depth_mm)), True
        return int(self._needed("holes", "life", "life_m")), False

    def _end(self, life: bool) -> End:
        cell = self._cell("end")
        if not cell:
            return "worn" if life else self._choices.end
        end: End = self._in_cell("end", lambda place: read_word(cell, place, ENDS_CALLED))
        return end

    def _wear(self, holes: int) -> tuple[WearReading, ...]:
        average, most = self._number("vb_average_mm"), self._number("vb_maximum_mm")
        corner, margin = self._number("corner_chipping_mm"), self._number("margin_chipping_mm")
        if all(value is None for value in (average, most, corner, margin)):
            return ()
        return (WearReading(holes, average, most, corner, margin),)

    # What the whole sheet says

    def _remark(self, text: str) -> None:
        if text not in self.remarks:
            self.remarks.append(text)

    def _column(self, name: FieldName) -> list[str]:
        match = self._at.get(name)
        if match is None:
            return []
        return [row.cells[match.number - 1] for row in self._sheet.rows
                if match.number <= len(row.cells) and row.cells[match.number - 1]]  # fmt: skip

    def _day_order(self) -> DayOrder | None:
        return day_order(self._column("date"))

    def _which_material(self) -> str:
        mine = plain_words(self._choices.material or self._trial.work.material)
        found = {plain_words(cell): cell for cell in self._column("material")}
        if found and mine not in found and len(found) == 1 and not self._choices.material:
            name, cell = next(iter(found.items()))
            self._remark(f"The sheet's material, {cell}, is taken for the trial's, "
                         f"{self._trial.work.material}.")  # fmt: skip
            return name
        return mine

    def _missing_column(self) -> InputError | None:
        needed: tuple[tuple[str, tuple[FieldName, ...]], ...] = (
            ("speed", ("speed_m_per_min", "rpm")),
            ("feed", ("feed_mm_per_rev", "feed_rate_mm_per_min")),
            ("number of holes", ("holes", "life", "life_m")),
        )
        for what, names in needed:
            if not any(name in self._at for name in names):
                return InputError(
                    f"sheet {self._sheet.name}: no column was found for the {what}",
                    got=", ".join(cell for cell in self._sheet.header.cells if cell)[:400],
                    allowed=f"a column that is {' or '.join(names)}",
                    do=f"Say which column it is, such as --map 'its name={names[0]}'.",
                )
        if self._choices.inch is None and (problem := self._looks_inch()) is not None:
            return problem
        end = self._choices.end
        if "end" not in self._at and not {"life", "life_m"} & set(self._at):
            self._remark(
                "The sheet does not say how runs ended: they are taken as stopped, their life only "
                "known to be longer."
                if end == "stopped"
                else f"The sheet does not say how runs ended: {end.replace('_', ' ')}, as you said."
            )
        if "drill" not in self._at and len(self._trial.drills) > 1:
            self._remark(f"The sheet names no drill: all runs are of {self._trial.drill().name}.")
        return None

    def _looks_inch(self) -> InputError | None:
        """Values without a unit that only fit the trial's bounds when they are taken as inches."""
        looked_at: tuple[tuple[FieldName, tuple[float, float], float, str], ...] = (
            ("feed_mm_per_rev", self._trial.bounds.feed_mm_per_rev, 25.4, "in/rev"),
            ("speed_m_per_min", self._trial.bounds.speed_m_per_min, 0.3048, "ft/min"),
        )
        for name, (low, high), factor, inch in looked_at:
            match = self._at.get(name)
            if match is None or not match.remark:
                continue
            cells = self._column(name)
            values = [one for cell in cells
                      if (one := number_or_none(cell, self._decimal)) is not None]  # fmt: skip
            if not values:
                continue
            middle = statistics.median(values)
            if not low / 2 <= middle <= 2 * high and low / 2 <= middle * factor <= 2 * high:
                return InputError(
                    f"sheet {self._sheet.name}, column {match.header}: values around {middle:g} "
                    f"look like {inch}, and the column names no unit",
                    do=f"Write the unit into its header, such as {match.header} ({inch}), or say "
                    "whether the sheet is in inches (--inch or --no-inch).",
                )
        return None
