"""Names, roles and states for those who hear the page."""

from __future__ import annotations

from typing import Any


def aria(**states: str) -> dict[str, Any]:
    """Attributes for a component: ``html.Div(**aria(label="Load"))`` → ``aria-label="Load"``."""
    return {f"aria-{name}": value for name, value in states.items()}


def data(**values: str) -> dict[str, Any]:
    """Data for our own functions in the browser: ``data(key="7")`` → ``data-key="7"``."""
    return {f"data-{name.replace('_', '-')}": value for name, value in values.items()}


# For signs that a word beside them says as well.
SILENT: dict[str, Any] = aria(hidden="true")
