"""Where the holes of a test lie on a plate. Positions only: no program for a control."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass

from trials import units
from trials.errors import InputError, require
from trials.mechanics.catalogue import Catalogue, shipped_catalogue
from trials.mechanics.kinematics import point_length_mm
from trials.model import Drill, HoleFeature

MOST_HOLES = 20_000
_STEP_MM = 0.5


@dataclass(frozen=True, slots=True)
class GridHole:
    """One hole: where its middle lies, from the lower left corner of its plate, mm."""

    number: int
    plate: int
    row: int
    column: int
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class HoleGrid:
    """Holes in rows on plates of one size.

    Args:
        length_mm, width_mm: of a plate, along x and y; thickness_mm: None when not given.
        diameter_mm: of the holes.
        edge_mm: wall between a hole and the edge of the plate, at least.
        wall_mm: wall between two holes, at least.
        clamp_mm: strip at both ends of x that is kept free.
        columns, rows: on each plate.
        holes: in the order of drilling, to and fro along the rows.
        remarks: what to mind.
    """

    length_mm: float
    width_mm: float
    thickness_mm: float | None
    diameter_mm: float
    edge_mm: float
    wall_mm: float
    clamp_mm: float
    plates: int
    columns: int
    rows: int
    holes: tuple[GridHole, ...]
    remarks: tuple[str, ...]

    @property
    def a_plate(self) -> int:
        """Holes that fit on one plate."""
        return self.columns * self.rows


def hole_grid(
    drill: Drill,
    hole: HoleFeature,
    *,
    length_mm: float,
    width_mm: float,
    thickness_mm: float | None = None,
    plates: int = 1,
    edge_mm: float | None = None,
    wall_mm: float | None = None,
    clamp_mm: float = 0.0,
    most: int | None = None,
    catalogue: Catalogue | None = None,
) -> HoleGrid:
    """Lay holes out on test plates with edge and wall distance.

    Args:
        drill, hole: what is drilled.
        length_mm, width_mm, thickness_mm: of a plate.
        plates: so many plates of that size.
        edge_mm, wall_mm: metal left at the edge and between holes; None takes shares of the
            diameter (``rules.toml``: from memory), so that one hole does not spoil the next.
        clamp_mm: strip at both ends that the clamps need.
        most: no more holes than this.
        catalogue: the shop's.

    Raises:
        InputError: no hole fits, or the plate is too thin; says what would do.
    """
    rules = (catalogue or shipped_catalogue()).test
    diameter = drill.diameter_mm
    for what, side_mm in (("length of the plate", length_mm), ("width of the plate", width_mm)):
        require(0 < side_mm <= 10_000, what, side_mm, "more than 0 and at most 10,000 mm")
    require(1 <= plates <= 1000, "plates", plates, "1 to 1000")
    require(0 <= clamp_mm <= 5000, "strip for clamps", clamp_mm, "0 to 5000 mm")
    edge = max(rules.edge_xd * diameter, rules.least_wall_mm) if edge_mm is None else edge_mm
    wall = max(rules.wall_xd * diameter, rules.least_wall_mm) if wall_mm is None else wall_mm
    require(0 < edge <= 1000, "distance to the edge", edge, "more than 0 and at most 1000 mm")
    require(0 < wall <= 1000, "wall between holes", wall, "more than 0 and at most 1000 mm")
    remarks = _thickness(drill, hole, thickness_mm, rules.floor_mm)
    pitch = diameter + wall
    room = length_mm - 2 * clamp_mm
    columns, rows = (_fitting(side, edge, diameter, pitch) for side in (room, width_mm))
    easy = math.ceil(pitch / _STEP_MM - 1e-9) * _STEP_MM
    if wall_mm is None and (columns, rows) == tuple(
        _fitting(side, edge, diameter, easy) for side in (room, width_mm)
    ):  # a pitch that is easier to set and costs no hole
        pitch, wall = easy, easy - diameter
    if columns < 1 or rows < 1:
        least = 2 * edge + diameter
        raise InputError(
            "test plate", got=f"{length_mm:g} mm × {width_mm:g} mm",
            allowed=f"at least {least + 2 * clamp_mm:g} mm × {least:g} mm for one hole of "
            f"{diameter:g} mm with {edge:g} mm to the edge",
            do="Take a larger plate, or leave less to the edge.",
        )  # fmt: skip
    total = columns * rows * plates
    wanted = total if most is None else min(total, most)
    require(wanted <= MOST_HOLES, "holes on the plates", wanted, f"at most {MOST_HOLES:,}",
            "Ask for fewer holes or plates.")  # fmt: skip
    least = edge + diameter / 2.0
    first_x = _first(length_mm, columns, pitch, clamp_mm + least)
    first_y = _first(width_mm, rows, pitch, least)
    holes = []
    for number in range(wanted):
        plate, on_plate = divmod(number, columns * rows)
        row, along = divmod(on_plate, columns)
        column = along if row % 2 == 0 else columns - 1 - along
        holes.append(
            GridHole(number + 1, plate + 1, row + 1, column + 1,
                     round(first_x + column * pitch, 4), round(first_y + row * pitch, 4))
        )  # fmt: skip
    return HoleGrid(length_mm, width_mm, thickness_mm, diameter, edge, wall, clamp_mm, plates,
                    columns, rows, tuple(holes), tuple(remarks))  # fmt: skip


def _fitting(length: float, edge: float, diameter: float, pitch: float) -> int:
    room = length - 2 * edge - diameter
    return 0 if room < -1e-9 else math.floor(room / pitch + 1e-9) + 1


def _first(length: float, count: int, pitch: float, least: float) -> float:
    """The middle of the first hole: the grid about in the middle, at a value easy to set."""
    middle = (length - (count - 1) * pitch) / 2.0
    easy = math.floor(middle / _STEP_MM + 1e-9) * _STEP_MM
    return easy if easy >= least * (1 - 1e-9) else middle


def _thickness(
    drill: Drill, hole: HoleFeature, thickness_mm: float | None, floor_mm: float
) -> list[str]:
    if thickness_mm is None:
        return ["Check that the plate is as thick as the holes are deep, and what lies under it."]
    require(0 < thickness_mm <= 5000, "thickness of the plate", thickness_mm,
            "more than 0 and at most 5000 mm")  # fmt: skip
    point = point_length_mm(drill.diameter_mm, drill.point_angle_deg)
    if hole.through:
        if abs(thickness_mm - hole.depth_mm) > 0.02 * hole.depth_mm:
            return [f"Look: the plate is {thickness_mm:g} mm thick, the hole {hole.depth_mm:g} mm."]
        return [f"Leave room under the plate: the point comes out by {point:.1f} mm."]
    needed = hole.depth_mm + point + floor_mm
    if thickness_mm < needed * (1 - 1e-9):
        raise InputError(
            "thickness of the plate", got=f"{thickness_mm:g} mm",
            allowed=f"at least {needed:.1f} mm: depth {hole.depth_mm:g} mm, point {point:.1f} mm, "
            f"floor {floor_mm:g} mm",
            do="Take a thicker plate, or drill through.",
        )  # fmt: skip
    return []


def grid_csv(grid: HoleGrid, system: units.UnitSystem = "metric") -> str:
    """The grid as CSV: number, plate, row, column, and x and y in mm or in inch."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    unit, digits = ("mm", 3) if system == "metric" else ("in", 4)
    writer.writerow(["number", "plate", "row", "column", f"x_{unit}", f"y_{unit}"])
    for hole in grid.holes:
        x, y = (
            value if system == "metric" else units.to_inch(value, "mm")[0]
            for value in (hole.x_mm, hole.y_mm)
        )
        writer.writerow([hole.number, hole.plate, hole.row, hole.column,
                         f"{x:.{digits}f}", f"{y:.{digits}f}"])  # fmt: skip
    return text.getvalue()
