"""Listen to a source before anything is recorded, and keep what was found as a profile."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from trials.logger import Heard, Profile, listen, open_source, read_profile, write_profile
from trials.workbench._recording import source_alone
from trials.workbench._shop import Shop


def hear(
    shop: Shop, source_url: str, seconds: float, on_progress: Callable[[float, int], None] | None
) -> Heard:
    """See `trials.workbench.Workbench.listen`."""
    source = open_source(source_url)
    with source_alone(shop, source, "looking at its lines"):
        return listen(source, seconds, on_progress=on_progress)


def profile(shop: Shop, name: str) -> Profile:
    """See `trials.workbench.Workbench.profile`."""
    return read_profile(shop.folder.profiles, name)


def save_profile(shop: Shop, found: Profile, *, replace: bool) -> Path:
    """See `trials.workbench.Workbench.save_profile`."""
    return write_profile(shop.folder.profiles, found, replace=replace)
