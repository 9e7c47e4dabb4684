"""Looking after the shop: backups, and where its database is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from trials.store import back_up_shop, open_store, restore_shop, shop_folder, use_file, use_server
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.store import BackedUp, Moved

    Told = Callable[[float], None]


class OperationsFace:
    """Backups and the database's place; see `trials.workbench.Workbench`."""

    _shop: Shop

    @property
    def database_place(self) -> str:
        """The database's file, or the address of its server without a password."""
        return self._shop.store.place

    def back_up_shop(self, target: Path | str, on_progress: Told | None = None) -> BackedUp:
        """Copy the whole shop, also while it is used, into a folder that opens by itself.

        Args:
            target: a new folder, or one of an earlier backup of this shop.
            on_progress: told the share of the files that is done.
        """
        return back_up_shop(self._shop.folder, Path(target), on_progress)

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
