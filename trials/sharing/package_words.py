"""What stands in a package, in words and units, for people and programs that never saw Holewise.

Units are UCUM codes (The Unified Code for Units of Measure, https://ucum.org). A name that is not
listed takes its unit from its ending, as every name in this program ends with its unit.
"""

from __future__ import annotations

# Endings of names and the UCUM code of their unit, longest first.
_UCUM_OF_ENDING = {
    "_n_per_mm2": "N/mm2",
    "_m_per_min": "m/min",
    "_mm_per_rev": "mm/{rev}",
    "_mm_per_min": "mm/min",
    "mm_per_pixel": "mm/{pixel}",
    "_px": "{pixel}",
    "_pct_per_s": "%/s",
    "_pct_s": "%.s",
    "_pct": "%",
    "_rpm": "{rev}/min",
    "rpm": "{rev}/min",
    "_mm": "mm",
    "_kw": "kW",
    "_n": "N",
    "_bar": "bar",
    "_deg": "deg",
    "_min": "min",
    "_xd": "{drill_diameter}",
    "_s": "s",
}
_UCUM_OF_NAME = {
    "holes": "{hole}", "hole": "{hole}", "pecks": "{peck}", "samples": "{sample}",
    "expected_holes": "{hole}", "breakthrough_feed_factor": "1", "confidence": "1",
    "life_lost_per_regrind": "1", "regrinds": "{regrind}", "regrinds_done": "{regrind}",
    "test_holes": "{hole}",
    "maker_hole_grade": "1",
}  # fmt: skip

TABLE_MEANS = {
    "drills": "Candidate drills of the trial. The first is the one that runs take unless told "
    "otherwise.",
    "runs": "One row a run: one drill edge, new or reground, at one cutting data, from fresh to "
    "its end.",
    "wear": "One row a look at the drill: wear after so many holes.",
    "recordings": "One row a recording of the spindle load, with where its trace lies.",
    "holes": "One row a hole found in the recorded load, as it is counted: mended by a person "
    "where edits.csv says so.",
    "holes_found": "Holes of mended runs as they were found, before a person mended them.",
    "gaps": "Stretches of a recording without samples. Nothing was filled in there.",
    "alarms": "Alarms that were raised while it was recorded, and when they were acknowledged.",
    "photos": "Photos of drills, which lie in the folder photos.",
    "remarks": "What somebody who looked at the trial remarked: on a run, or on all of it.",
    "proposals": "Cutting data that somebody proposes to test, such as the maker of a drill.",
    "edits": "What a person mended in the holes of a run, also what was taken back.",
}

FIELD_MEANS = {
    "uuid": "Key of the row; stays the same wherever the package goes.",
    "run": "Number of the run in the trial.",
    "recording": "Number of the recording within its run, counted from 1.",
    "position": "Order of entry, counted from 1.",
    "number": "Number, counted from 1.",
    "drill": "Name of the drill, as in drills.csv.",
    "name": "What the shop calls it.",
    "speed_m_per_min": "Cutting speed at the corner of the drill.",
    "feed_mm_per_rev": "Feed per revolution.",
    "peck_mode": "none, chip_break (short step back) or full_retract (out of the hole).",
    "peck_depth_xd": "Depth of one peck in drill diameters; without meaning when there is none.",
    "breakthrough_feed_factor": "Share of the feed for the last stretch of a through hole; 1 "
    "keeps the feed.",
    "breakthrough_mm": "Length of that stretch before the point breaks through.",
    "state": "planned, recording, drilled (recorded, not yet ended) or ended.",
    "end": "worn, stopped (before its end: the life is only known to be longer), chipped, broken, "
    "out_of_tolerance or load_limit; empty while the run has not ended.",
    "holes": "Holes drilled.",
    "load_fresh_pct": "Median peak spindle load of the first three holes, per cent of rating.",
    "load_worn_pct": "Highest median of three peak loads in a row among the last ten holes.",
    "cycle_min": "Time of one hole from its start to the start of the next, median.",
    "origin": "Who proposed the cutting data.",
    "note": "What a person wrote.",
    "batch": "Batch or heat of the workpieces, as the shop writes it.",
    "machine": "Where it was drilled; empty for the machine of the trial.",
    "regrinds_done": "How many times this edge had been reground before the run.",
    "test_holes": "Holes after which the test may stop although the drill still cuts.",
    "planned_utc": "When the run was planned.",
    "ended_utc": "When the run was ended.",
    "hole": "Hole number within the run.",
    "vb_average_mm": "Average width of flank wear.",
    "vb_maximum_mm": "Largest width of flank wear.",
    "corner_chipping_mm": "Size of chipping at the corner.",
    "margin_chipping_mm": "Size of chipping at the margin.",
    "hole_diameter_mm": "Measured diameter of that hole.",
    "taken_utc": "When the reading was entered.",
    "kind": "Which kind it is.",
    "source": "Where the values came from.",
    "line_format": "How lines were read.",
    "mapping": "Which field of a line was which value.",
    "samples": "Number of samples in the trace.",
    "counters": "What was counted while reading.",
    "started_utc": "When the recording began.",
    "finished_utc": "When the recording was finished.",
    "trace": "File of the samples in this package; empty when there is none.",
    "start_s": "Start, on the clock of the recording.",
    "end_s": "End, on the clock of the recording.",
    "cut_s": "Time in the cut.",
    "pecks": "Pecks found; 1 for a hole drilled in one go.",
    "peak_pct": "Peak load without single odd samples, per cent of rating.",
    "peak_raw_pct": "Highest single sample, per cent of rating.",
    "mean_pct": "Mean load in the cut, per cent of rating.",
    "p95_pct": "Load that 95 in 100 samples of the cut stay below.",
    "entry_pct": "Load at entry.",
    "exit_pct": "Load at the end of the cut.",
    "area_pct_s": "Load above idle, summed over time.",
    "rise_pct_per_s": "Rise of the load through the cut.",
    "idle_pct": "Load of the spindle turning free.",
    "peck_peaks_pct": "Peak load of every peck, in order.",
    "trend_pct": "Peak load smoothed over neighbouring holes.",
    "confidence": "How sure it is that this is one whole hole: 0 to 1.",
    "flags": "What was noticed, separated by semicolons.",
    "reason": "Why there are no samples.",
    "text": "One sentence that says what was.",
    "time_s": "Time on the clock of the recording; 0 is its first sample.",
    "load_pct": "Spindle load, per cent of rating.",
    "rpm": "Spindle speed, where it was recorded.",
    "depth_mm": "Depth of the drill's tip, where it was recorded.",
    "began_utc": "When it was raised.",
    "over_utc": "When what raised it had passed.",
    "acknowledged_utc": "When somebody said that it was seen.",
    "acknowledged_by": "Where or by whom it was acknowledged.",
    "spans": "Start and end of the holes it was made on.",
    "at_s": "Where a hole was split.",
    "made": "The holes that it makes.",
    "made_utc": "When it was made.",
    "sha256": "Checksum of the picture, which is its name in the folder photos.",
    "width_px": "Width of the picture in pixels.",
    "height_px": "Height of the picture in pixels.",
    "mm_per_pixel": "Scale of the picture; empty when it is not known.",
    "who": "Who added it.",
    "added_utc": "When it was added.",
    "why": "Why it is proposed.",
    "made_by": "By whom it was made.",
    "undone_utc": "When it was taken back; empty while it stands.",
    "undone_by": "By whom it was taken back.",
    "diameter_mm": "Nominal diameter.",
    "substrate": "hss (high-speed steel), cobalt or carbide.",
    "coating": "bright, black_oxide, TiN, TiCN or TiAlN.",
    "point_angle_deg": "Full angle of the point.",
    "flute_length_mm": "Length of the flutes.",
    "through_coolant": "Whether coolant comes through the drill.",
    "price": "Price of one new drill, in the currency of the trial.",
    "regrinds": "How many times it can be reground.",
    "regrind_cost": "Price of one regrind, in the currency of the trial.",
    "maker": "Who makes it, as the shop writes it.",
    "life_lost_per_regrind": "Share of the life that each regrind takes.",
    "form": "solid, brazed or indexable.",
    "length": "Series of standard lengths.",
    "helix_deg": "Helix angle.",
    "self_centring": "Whether the point centres itself.",
    "projection_mm": "How far it stands out of its holder.",
    "tolerance": "Tolerance of its diameter by ISO 286.",
    "maker_speed_m_per_min": "Speeds that the maker gives, lowest and highest.",
    "maker_feed_mm_per_rev": "Feeds that the maker gives, lowest and highest.",
    "maker_depth_xd": "Deepest hole that the maker allows.",
    "maker_most_speed_m_per_min": "Speed that the maker forbids to pass.",
    "maker_most_feed_mm_per_rev": "Feed that the maker forbids to pass.",
    "maker_coolant_bar": "Coolant pressure that the maker asks for.",
    "maker_hole_grade": "IT grade of the hole that the maker promises.",
    "expected_holes": "Holes that an edge is expected to last.",
}


def ucum(name: str) -> str | None:
    """UCUM code of the unit of a field by its name; None for texts, keys and money."""
    if name in _UCUM_OF_NAME:
        return _UCUM_OF_NAME[name]
    for ending, code in _UCUM_OF_ENDING.items():
        if name.endswith(ending):
            return code
    return None


def meaning(name: str) -> str:
    """One sentence about a field; its name in plain words when there is no other yet."""
    return FIELD_MEANS.get(name, name.replace("_", " "))
