"""What can be shared: the part of the workbench that packages go out of and come into."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.sharing import Package, RemovedField, SheetChoices
    from trials.store import TakenIn
    from trials.workbench._runs_in import RunsPreview
    from trials.workbench._share_values import Exported, PackagePreview

    Told = Callable[[float], None]


class SharingFace:
    """Packages of trials; see `trials.workbench.Workbench`."""

    _shop: Shop

    def export(
        self, trial: str, path: Path | str, *, licence: str = "", traces: bool = True,
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
            self._shop, trial, Path(path), licence=licence, traces=traces, remove=remove,
            replace=replace, on_progress=on_progress,
        )  # fmt: skip

    def preview_removal(self, trial: str, remove: Sequence[str]) -> list[RemovedField]:
        """What `export` with ``remove`` would leave out, one line a field; writes nothing."""
        from trials.workbench import _share

        return _share.preview_removal(self._shop, trial, remove)

    def report(self, trial: str, *, remove: Sequence[str] = ()) -> str:
        """The trial as a report: one HTML page that works offline and prints.

        Args:
            trial: its name.
            remove: what is left out, by name; see `trials.sharing.REMOVALS`.
        """
        from trials.workbench import _report

        return _report.report(self._shop, trial, remove)

    def preview_package(
        self, path: Path | str, *, name: str | None = None, on_progress: Told | None = None
    ) -> PackagePreview:
        """What `import_package` would do, with what differs side by side; changes nothing."""
        from trials.workbench import _share_in

        return _share_in.look(self._shop, Path(path), name, on_progress)

    def import_package(
        self, path: Path | str, *, name: str | None = None, new_runs_only: bool = False,
        on_progress: Told | None = None,
    ) -> PackagePreview:  # fmt: skip
        """Take in a package: all of it or nothing. The same package again changes nothing.

        Args:
            path: the file, from anybody; it is checked whole first.
            name: for a trial that is new here; None takes the sender's.
            new_runs_only: of a trial that is here, add the runs that are not; where both sides
                changed the same run, it stays as it is here.
            on_progress: told the share that is checked.

        Raises:
            InputError: the package is damaged, changed, or made to do harm; says what.
            ConflictError: the name is taken, or values differ from those here.
        """
        from trials.workbench import _share_in

        if new_runs_only:
            return _share_in.add_new_runs(self._shop, Path(path), on_progress)
        return _share_in.take_in(self._shop, Path(path), name, on_progress)

    def undo_import(self, trial: str) -> TakenIn:
        """Take out what was taken in last, a package or a sheet, and put back what it changed.

        Refused when the trial or those runs were worked on since.
        """
        from trials.workbench import _share_in

        return _share_in.take_out(self._shop, trial)

    def preview_runs(
        self, path: Path | str, trial: str | None = None, *, choices: SheetChoices | None = None
    ) -> RunsPreview:
        """What `import_runs` would make of a sheet of earlier runs; stores nothing.

        Args:
            path: text as a spreadsheet program writes it: CSV, or with tabs or semicolons.
            trial: where they go; None takes the only one there is.
            choices: what a person says of the sheet, such as the field of a column.

        Raises:
            InputError: no sheet that can be read; says where.
        """
        from trials.workbench import _runs_in

        return _runs_in.look(self._shop, Path(path), trial, choices)

    def import_runs(
        self, path: Path | str, trial: str | None = None, *, choices: SheetChoices | None = None,
        skip_refused: bool = False,
    ) -> RunsPreview:  # fmt: skip
        """Take in a sheet of earlier runs: all or nothing; rows that are here already stay so.

        Args:
            path, trial, choices: see `preview_runs`.
            skip_refused: leave rows out that are refused, instead of refusing the sheet.
        """
        from trials.workbench import _runs_in

        return _runs_in.take_in(self._shop, Path(path), trial, choices, skip_refused=skip_refused)

    @staticmethod
    def verify_package(path: Path | str, *, on_progress: Told | None = None) -> Package:
        """Check a package whole: digest, layout, checksums, every cell and every sample.

        Raises:
            InputError: the first thing that is wrong with it.
        """
        from trials.sharing import verify_package

        return verify_package(Path(path), on_progress=on_progress)
