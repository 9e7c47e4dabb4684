"""The workbench as whoever asks may use it: readers change nothing, some see no money.

Every page is given this in place of the workbench, so that a page that forgets to ask is refused
all the same. What is not named here is taken for a change, and for something about money.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, cast

from dashboard.access import require_editor, require_prices, viewer

if TYPE_CHECKING:
    from trials.workbench import Workbench

# Change nothing and tell nothing about money.
LOOKS = frozenset(
    {
        "about", "alarms", "before_test_figure", "came_in", "catalogue",
        "check_cutting_data", "check_overrule", "check_rebuild", "damage", "edits",
        "found_holes", "gaps", "health", "holes", "holes_in_file", "holes_to_look_at",
        "holes_to_wear", "journal_report", "life",
        "life_distribution", "live", "overlay", "photo", "photo_bytes",
        "photos", "plan_card", "profile", "profiles", "recorded_runs", "report_on", "run",
        "runs", "second_witness", "settings", "split_place", "trace", "trends", "trial",
        "verify_package", "version", "wear", "wear_curve",
        "job_counts", "last_job", "like_jobs", "metrics", "ready", "traces",
    }
)  # fmt: skip
# Change nothing, and are about money.
PRICED = frozenset(
    {
        "begin", "card", "choose", "compare", "comparison", "comparison_figure", "cost",
        "cost_breakdown", "cost_range", "draft", "drill_on", "grid_csv", "grid_figure",
        "interval", "preview_package", "preview_removal", "proposals", "remarks", "report",
        "report_pdf", "response_map", "run_size", "run_size_figure", "search_slices",
        "trial_cost",
    }
)  # fmt: skip
# Change nothing, and tell what only an editor needs.
FOR_EDITORS = frozenset(
    {
        "clock",
        "files_waiting",
        "forward_seen",
        "forward_status",
        "held_file",
        "hold_file",
        "is_password",
        "listen",
        "people",
        "person",
        "preview_runs",
        "private_files",
        "sign_in_key",
        "stations",
    }
)
CHANGES = frozenset(
    {
        "acknowledge", "add_hole", "add_person", "add_photo", "add_wear", "back_up",
        "back_up_shop", "change_settings", "close", "drop_hole", "end_run", "export",
        "forward", "hold_again", "import_package", "import_proposals", "import_runs",
        "import_trace", "merge_holes", "new_trial", "open", "overrule", "plan_run",
        "rebuild", "record", "redo_edit", "remove_person", "remove_photo", "remove_wear",
        "reopen_run", "restore", "restore_photo", "restore_wear", "save_profile",
        "set_photo_scale", "set_search", "split_hole", "undo_edit", "undo_import",
        "send_files", "try_objects", "upgrade", "use_file", "use_no_objects", "use_objects",
        "use_plan", "use_proposal", "use_server", "use_start",
        "use_suggestion", "withdraw_run",
        "find_all_again",
    }
)  # fmt: skip


def _trials(found: Any) -> Any:
    return [replace(one, best_cost=None) for one in found]


def _convergence(found: Any) -> Any:
    marks = tuple(replace(mark, cost=None, low=None, high=None) for mark in found.runs)
    return replace(found, runs=marks, best=tuple(None for _ in found.best), expected_low=None,
                   expected_median=None, expected_high=None, bound=None)  # fmt: skip


def _history(found: Any) -> Any:
    """Lives and how they scatter stay; costs, what is said of them, and their order go."""
    if found.drills is not None:
        drills = tuple(replace(one, cost=None, p_dearer=None) for one in found.drills.drills)
        drills = tuple(sorted(drills, key=lambda one: -one.life[1] if one.life else 0.0))
        found = replace(found, drills=replace(found.drills, drills=drills, others=(), said=()))
    return replace(found, trend=None)


def _regrind(found: Any) -> Any:
    return replace(found, money="")


# Change nothing; what they tell about money can be taken out.
WITHOUT_MONEY: dict[str, Callable[[Any], Any]] = {
    "trials": _trials,
    "convergence": _convergence,
    "history": _history,
    "regrind_advice": _regrind,
    "hand_over": lambda found: found,  # made without prices: see below
    "hand_over_record": lambda found: found,
    # Their amounts are hidden by `Show.money`, and those in sentences by `dashboard.money`.
    "suggest": lambda found: found,
    "plan": lambda found: found,
    "next_test": lambda found: found,
    # Names of other trials are other customers' and parts' names.
    "like_trials": lambda found: replace(found, used=(), left_out=()),
    "recommend": lambda found: found,
}
_WITHOUT_PRICES: dict[str, dict[str, Any]] = {
    "hand_over": {"prices": False},
    "hand_over_record": {"prices": False},
}


class Seen:
    """Hands every call on to a workbench, if whoever asks may make it."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def __getattr__(self, name: str) -> Any:
        found = getattr(self._workbench, name)
        if name.startswith("_") or not callable(found):
            return found
        return functools.partial(self._call, name, found)

    def _call(self, name: str, method: Callable[..., Any], /, *given: Any, **named: Any) -> Any:
        if name not in LOOKS and name not in PRICED and name not in WITHOUT_MONEY:
            require_editor()
            return method(*given, **named)
        if viewer().sees_prices or name in LOOKS:
            return method(*given, **named)
        if name in PRICED:
            require_prices()
        found = method(*given, **(named | _WITHOUT_PRICES.get(name, {})))
        return WITHOUT_MONEY[name](found)


def as_seen(workbench: Workbench) -> Workbench:
    """The workbench for pages: each call is checked against who makes the request."""
    return cast("Workbench", Seen(workbench))
