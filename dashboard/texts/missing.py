"""Addresses that lead nowhere."""

from __future__ import annotations

MISSING_TITLE = "There is no such page"
MISSING_TEXT = "The address may be mistyped, or the trial may be in another data folder."
MISSING_BACK = "Back to the trials"
