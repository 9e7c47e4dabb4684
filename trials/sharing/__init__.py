"""What goes in and out as files: trial files, and the record that production keeps."""

from trials.sharing.day_plan import day_plan
from trials.sharing.hand_over import HandOver, hand_over_text
from trials.sharing.machine_card import machine_card
from trials.sharing.package_answer import (
    Proposal,
    Remark,
    answer_package,
    answer_rows,
    read_cutting_data,
    read_proposals,
)
from trials.sharing.package_format import (
    ContentTable,
    FileToPack,
    PackageContent,
    photo_name,
    trace_name,
)
from trials.sharing.package_read import Package, open_package, verify_package
from trials.sharing.package_write import write_package
from trials.sharing.pdf import Paper, pdf_of
from trials.sharing.redaction import (
    REMOVALS,
    Removal,
    RemovedField,
    preview,
    removals,
    without,
)
from trials.sharing.report import report_html
from trials.sharing.report_values import PhotoReported, Report, RunReported
from trials.sharing.sheet_columns import NOT_USED, ColumnMatch
from trials.sharing.sheet_runs import sheet_runs
from trials.sharing.sheet_values import Refused, SheetChoices, SheetRun, SheetRuns
from trials.sharing.sheet_words import FIELDS as SHEET_FIELDS
from trials.sharing.sheet_words import FieldName
from trials.sharing.trial_file import read_trial, trial_from_plain, trial_toml

__all__ = [
    "NOT_USED",
    "REMOVALS",
    "SHEET_FIELDS",
    "ColumnMatch",
    "ContentTable",
    "FieldName",
    "FileToPack",
    "HandOver",
    "Package",
    "PackageContent",
    "Paper",
    "PhotoReported",
    "Proposal",
    "Refused",
    "Remark",
    "Removal",
    "RemovedField",
    "Report",
    "RunReported",
    "SheetChoices",
    "SheetRun",
    "SheetRuns",
    "answer_package",
    "answer_rows",
    "day_plan",
    "hand_over_text",
    "machine_card",
    "open_package",
    "pdf_of",
    "photo_name",
    "preview",
    "read_cutting_data",
    "read_proposals",
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
