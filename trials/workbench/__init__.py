"""The use cases: the one door for command line and dashboard."""

from typing import TYPE_CHECKING, Any

from trials.workbench._choose_values import (
    BeforeTest,
    Beginning,
    Candidate,
    Choice,
    RoughCost,
)
from trials.workbench._edits import WEAR_STAYS, EditShown, Mended
from trials.workbench._face import Workbench
from trials.workbench._find import FileHoles
from trials.workbench._history_values import (
    CostTrend,
    DrillRecord,
    DrillsOverTrials,
    FindSettings,
    FoundAgain,
    History,
    LifeScatter,
    Quarter,
)
from trials.workbench._money_values import (
    DrillInterval,
    DrillLife,
    DrillOnAdvice,
    DrillsCompared,
    MoreHoles,
    RunSizeAdvice,
    SecondWitness,
)
from trials.workbench._runs_in import RunsPreview
from trials.workbench._search_values import DrillTest, LikeTrial, LikeTrials, NextTest
from trials.workbench._share_values import (
    Difference,
    Exported,
    PackagePreview,
    ProposalShown,
    RemarkShown,
)
from trials.workbench._shop_values import (
    AboutShop,
    Backup,
    LoggerHealth,
    Readiness,
    RecordingHealth,
)
from trials.workbench._values import (
    HoleNow,
    JournalLoss,
    JournalReport,
    LiveView,
    OnProgress,
    Progress,
    RebuildCheck,
    RecordingSummary,
    TrialSummary,
)

if TYPE_CHECKING:
    from trials.sharing import SHEET_FIELDS, SheetChoices

__all__ = [
    "SHEET_FIELDS",
    "WEAR_STAYS",
    "AboutShop",
    "Backup",
    "BeforeTest",
    "Beginning",
    "Candidate",
    "Choice",
    "CostTrend",
    "Difference",
    "DrillInterval",
    "DrillLife",
    "DrillOnAdvice",
    "DrillRecord",
    "DrillTest",
    "DrillsCompared",
    "DrillsOverTrials",
    "EditShown",
    "Exported",
    "FileHoles",
    "FindSettings",
    "FoundAgain",
    "History",
    "HoleNow",
    "JournalLoss",
    "JournalReport",
    "LifeScatter",
    "LikeTrial",
    "LikeTrials",
    "LiveView",
    "LoggerHealth",
    "Mended",
    "MoreHoles",
    "NextTest",
    "OnProgress",
    "PackagePreview",
    "Progress",
    "ProposalShown",
    "Quarter",
    "Readiness",
    "RebuildCheck",
    "RecordingHealth",
    "RecordingSummary",
    "RemarkShown",
    "RoughCost",
    "RunSizeAdvice",
    "RunsPreview",
    "SecondWitness",
    "SheetChoices",
    "TrialSummary",
    "Workbench",
]


def __getattr__(name: str) -> Any:
    """What belongs to sharing is loaded when it is asked for: that takes seconds."""
    if name in ("SHEET_FIELDS", "SheetChoices"):
        from trials import sharing

        return getattr(sharing, name)
    raise AttributeError(name)
