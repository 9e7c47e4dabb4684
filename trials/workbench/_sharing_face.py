"""What can be shared: the part of the workbench that packages go out of and come into."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.sharing import Package, RemovedField
    from trials.workbench._share_values import Exported

    Told = Callable[[float], None]


class SharingFace:
    """Packages of trials; see `trials.workbench.Workbench`."""

    _shop: Shop

    def export(
        self, trial: str, path: Path, *, licence: str = "", traces: bool = True,
        remove: Sequence[str] = (), replace: bool = False, on_progress: Told | None = None,
    ) -> Exported:  # fmt: skip
        """Write a trial as a package: the same bytes for the same trial.

        Args:
            trial: its name; no run of it may be in recording.
            path: the file, by custom ``*.zip``.
            licence: on what terms it may be passed on; empty states none.
            traces: whether the recorded samples go along.
            remove: what is left out, by name; see `trials.sharing.REMOVALS`.
            replace: write over a file that is there.
            on_progress: told the share that is done.
        """
        from trials.workbench import _share

        return _share.export(
            self._shop, trial, path, licence=licence, traces=traces, remove=remove,
            replace=replace, on_progress=on_progress,
        )  # fmt: skip

    def preview_removal(self, trial: str, remove: Sequence[str]) -> list[RemovedField]:
        """What `export` with ``remove`` would leave out, one line a field; writes nothing."""
        from trials.workbench import _share

        return _share.preview_removal(self._shop, trial, remove)

    @staticmethod
    def verify_package(path: Path, *, on_progress: Told | None = None) -> Package:
        """Check a package whole: digest, layout, checksums, every cell and every sample.

        Raises:
            InputError: the first thing that is wrong with it.
        """
        from trials.sharing import verify_package

        return verify_package(path, on_progress=on_progress)
