"""Holewise: choose, dial in and compare drills by test holes, spindle load, wear and cost."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from trials.version import VERSION

if TYPE_CHECKING:
    from trials.workbench import Workbench

__version__ = VERSION
__all__ = ["__version__", "open_shop"]


def open_shop(folder: Path | str | None = None, *, create: bool = True) -> Workbench:
    """Open a shop's data folder for work in Python; use it in a ``with`` statement.

    Args:
        folder: the data folder; None takes ``HOLEWISE_DATA``, else the usual place of the system.
        create: make it when it is not there; false refuses instead.

    Raises:
        StoreError: folder or database cannot be used as it stands.
    """
    from trials.workbench import Workbench  # takes a moment, and 'import trials' should not

    return Workbench.open(folder, create=create)
