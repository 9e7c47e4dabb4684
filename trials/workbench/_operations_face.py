"""Looking after the shop: backups, and where its database is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trials.store import (
    KEEP_GIB,
    Objects,
    back_up_shop,
    files_place,
    files_waiting,
    open_store,
    restore_shop,
    send_files,
    shop_folder,
    use_file,
    use_no_objects,
    use_objects,
    use_server,
)
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.store import BackedUp, Clock, FilesPlace, FilesSent, Moved, Station
    from trials.workbench._shop_values import LoggerHealth, Readiness

    Told = Callable[[float], None]


class OperationsFace:
    """Backups and the database's place; see `trials.workbench.Workbench`."""

    _shop: Shop

    if TYPE_CHECKING:  # given by another part of the workbench

        def health(self) -> LoggerHealth: ...

    @property
    def database_place(self) -> str:
        """The database's file, or the address of its server without a password."""
        return self._shop.store.place

    def back_up_shop(
        self, target: Path | str, on_progress: Told | None = None, *, leave_objects: bool = False
    ) -> BackedUp:
        """Copy the whole shop, also while it is used, into a folder that opens by itself.

        Args:
            target: a new folder, or one of an earlier backup of this shop.
            on_progress: told the share of the files that is done.
            leave_objects: files that lie on the object store alone are not fetched; the copy
                reads them from there.
        """
        return back_up_shop(
            self._shop.folder, Path(target), on_progress, leave_objects=leave_objects
        )

    # Traces and photos

    @property
    def files_place(self) -> FilesPlace | None:
        """The object store that traces and photos are sent to; None without one."""
        return files_place(self._shop.folder)

    def use_objects(self, address: str, keep_gib: float = KEEP_GIB) -> FilesPlace:
        """Keep traces and photos on an object store from now on, after a trial of it.

        Args:
            address: ``s3://bucket/shop``, any other that fsspec knows, or the path of a folder.
            keep_gib: how much may stay in the data folder as well, GiB.
        """
        return use_objects(self._shop.folder, address, keep_gib)

    def use_no_objects(self, on_progress: Told | None = None) -> int:
        """Fetch every file into the data folder and use no object store any more; how many."""
        return use_no_objects(self._shop.folder, self._shop.store.named_files(), on_progress)

    def send_files(self, on_progress: Told | None = None) -> FilesSent:
        """Send traces and photos that are new to the object store."""
        return send_files(self._shop.folder, self._shop.store.named_files(), on_progress)

    def files_waiting(self) -> tuple[int, tuple[str, ...]]:
        """How many files are only here, and which are neither here nor on the object store."""
        return files_waiting(self._shop.folder, self._shop.store.named_files())

    def try_objects(self) -> None:
        """Write, read and take away a small object, where an object store is used.

        Raises:
            StoreError: it cannot be reached, or a right is missing.
        """
        place = self.files_place
        if place is not None:
            Objects(place.address).probe()

    # How it runs

    def ready(self) -> Readiness:
        """Whether requests can be answered: store, tables, loggers, disk, a word for each."""
        from trials.workbench._operation import readiness

        return readiness(self._shop, self.health)

    def metrics(self) -> list[Any]:
        """How the shop runs as metric families of the library ``prometheus_client``.

        Raises:
            InputError: that library is not installed.
        """
        from trials.workbench._operation import families

        return list(families(self._shop, self.health))

    def stations(self) -> list[Station]:
        """Every station that sends to this shop, with the time when it brought something last."""
        return self._shop.store.stations()

    def clock(self) -> Clock:
        """This computer's clock against the server's, and against what was stored last."""
        return self._shop.store.clock()

    def private_files(self) -> list[Path]:
        """Files of the data folder that only their owner may read, where they are there."""
        folder = self._shop.folder
        found = (folder.people, folder.sign_in_key, folder.address)
        return [path for path in found if path.exists()]

    @staticmethod
    def restore(
        backup: Path | str, folder: Path | str, on_progress: Told | None = None
    ) -> BackedUp:
        """Make a data folder from a backup, every file checked; the folder must be new or empty."""
        done = restore_shop(Path(backup), Path(folder).expanduser().absolute(), on_progress)
        open_store(shop_folder(folder, create=False)).close()
        return done

    @staticmethod
    def use_server(folder: Path | str | None, address: str) -> Moved:
        """Keep the shop's tables on a PostgreSQL server from now on; an empty one takes them over.

        Args:
            folder: the data folder; it keeps traces and journals.
            address: ``postgresql://user@server/database``.
        """
        return use_server(shop_folder(folder), address)

    @staticmethod
    def use_file(folder: Path | str | None) -> Moved:
        """Keep the shop's tables in a file of the data folder again."""
        return use_file(shop_folder(folder, create=False))
