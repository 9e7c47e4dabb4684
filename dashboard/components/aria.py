"""Names, roles and states for those who hear the page."""

from __future__ import annotations

from typing import Any


def aria(**states: str) -> dict[str, Any]:
    """Attributes for a component: ``html.Div(**aria(label="Load"))`` → ``aria-label="Load"``."""
    return {f"aria-{name}": value for name, value in states.items()}


# For signs that a word beside them says as well.
SILENT: dict[str, Any] = aria(hidden="true")
