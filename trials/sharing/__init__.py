"""What goes in and out as files: trial files, and the record that production keeps."""

from trials.sharing.hand_over import HandOver, hand_over_text
from trials.sharing.machine_card import machine_card
from trials.sharing.package_format import (
    ContentTable,
    PackageContent,
    TraceToPack,
    trace_name,
)
from trials.sharing.package_read import Package, open_package, verify_package
from trials.sharing.package_write import write_package
from trials.sharing.redaction import (
    NO_CURRENCY,
    REMOVALS,
    Removal,
    RemovedField,
    preview,
    removals,
    without,
)
from trials.sharing.report import Report, RunReported, report_html
from trials.sharing.sheet_columns import NOT_USED, ColumnMatch
from trials.sharing.sheet_runs import sheet_runs
from trials.sharing.sheet_values import Refused, SheetChoices, SheetRun, SheetRuns
from trials.sharing.sheet_words import FIELDS as SHEET_FIELDS
from trials.sharing.sheet_words import FieldName
from trials.sharing.trial_file import read_trial, trial_from_plain, trial_toml

__all__ = [
    "NOT_USED",
    "NO_CURRENCY",
    "REMOVALS",
    "SHEET_FIELDS",
    "ColumnMatch",
    "ContentTable",
    "FieldName",
    "HandOver",
    "Package",
    "PackageContent",
    "Refused",
    "Removal",
    "RemovedField",
    "Report",
    "RunReported",
    "SheetChoices",
    "SheetRun",
    "SheetRuns",
    "TraceToPack",
    "hand_over_text",
    "machine_card",
    "open_package",
    "preview",
    "read_trial",
    "removals",
    "report_html",
    "sheet_runs",
    "trace_name",
    "trial_from_plain",
    "trial_toml",
    "verify_package",
    "without",
    "write_package",
]
