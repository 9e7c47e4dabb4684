"""The use cases: the one door for command line and dashboard."""

from trials.workbench._face import Workbench
from trials.workbench._values import (
    HoleNow,
    LiveView,
    OnProgress,
    Progress,
    RecordingSummary,
    TrialSummary,
)

__all__ = [
    "HoleNow",
    "LiveView",
    "OnProgress",
    "Progress",
    "RecordingSummary",
    "TrialSummary",
    "Workbench",
]
