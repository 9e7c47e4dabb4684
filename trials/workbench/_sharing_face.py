"""What can be shared: the part of the workbench that packages go out of and come into."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.model import Run
    from trials.sharing import Package, Paper, RemovedField, SheetChoices
    from trials.store import TakenIn
    from trials.workbench._runs_in import RunsPreview
    from trials.workbench._share_merge import Side
    from trials.workbench._share_values import (
        Exported,
        PackagePreview,
        ProposalShown,
        RemarkShown,
    )

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

    def report_pdf(self, trial: str, *, remove: Sequence[str] = (), paper: Paper = "A4") -> bytes:
        """The report as PDF, made by a browser of this computer.

        Raises:
            HolewiseError: no browser that could make it; says what to do.
        """
        from trials.sharing import pdf_of

        return pdf_of(self.report(trial, remove=remove), paper)

    def preview_package(
        self, path: Path | str, *, name: str | None = None, on_progress: Told | None = None
    ) -> PackagePreview:
        """What `import_package` would do, with what differs side by side; changes nothing."""
        from trials.workbench import _share_in

        return _share_in.look(self._shop, Path(path), name, on_progress)

    def import_package(
        self, path: Path | str, *, name: str | None = None,
        choices: Mapping[str, Side] | None = None, on_progress: Told | None = None,
    ) -> PackagePreview:  # fmt: skip
        """Take in a package: all of it or nothing. The same package again changes nothing.

        Args:
            path: the file, from anybody; it is checked whole first.
            name: for a trial that is new here; None takes the sender's.
            choices: of a trial that is here, which side holds where both changed the same:
                ``mine`` or ``theirs`` for the key of a `Difference`, for its place (``run 3``),
                or for ``all``. What is only in the package is added.
            on_progress: told the share that is checked.

        Raises:
            InputError: the package is damaged, changed, or made to do harm; says what.
            ConflictError: the name is taken, or values differ and were not chosen.
        """
        from trials.workbench import _share_in

        return _share_in.take_in(self._shop, Path(path), name, choices or {}, on_progress)

    def remarks(self, trial: str) -> list[RemarkShown]:
        """What others remarked on a trial, in packages that were taken in."""
        from trials.workbench import _answers

        return _answers.remarks(self._shop, trial)

    def proposals(self, trial: str) -> list[ProposalShown]:
        """Cutting data that others propose, each with what the machine says of it."""
        from trials.workbench import _answers

        return _answers.proposals(self._shop, trial)

    def use_proposal(self, trial: str, number: int) -> Run:
        """Plan the run that a proposal becomes; where it came from stays with both.

        Raises:
            InputError: beyond the limits of the machine.
            ConflictError: it became a run already, or a run is planned or recording.
        """
        from trials.workbench import _answers

        return _answers.use(self._shop, trial, number)

    def import_proposals(self, trial: str, path: Path | str, *, made_by: str = "") -> int:
        """Take in proposals that were filled in in a spreadsheet; how many were new."""
        from trials.workbench import _answers

        return _answers.take_sheet(self._shop, trial, Path(path), made_by)

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

    def came_in(self, trial: str) -> list[TakenIn]:
        """Packages and sheets that were taken in for a trial, the first one first."""
        return self._shop.store.taken_in(trial)

    def hold_file(self, name: str, data: bytes) -> str:
        """Keep an uploaded file for a day; the text by which `held_file` finds it."""
        from trials.workbench import _inbox

        return _inbox.hold(self._shop, name, data)

    def held_file(self, token: str) -> Path:
        """Where an uploaded file lies, to be looked through and taken in."""
        from trials.workbench import _inbox

        return _inbox.held(self._shop, token)

    @staticmethod
    def verify_package(path: Path | str, *, on_progress: Told | None = None) -> Package:
        """Check a package whole: digest, layout, checksums, every cell and every sample.

        Raises:
            InputError: the first thing that is wrong with it.
        """
        from trials.sharing import verify_package

        return verify_package(Path(path), on_progress=on_progress)
