"""The shop's data folder: where it is, what lies in it, and whether it can be used."""

from __future__ import annotations

import os
import uuid
from dataclasses import dataclass
from pathlib import Path

import platformdirs
from sqlalchemy.engine import URL

from trials.errors import StoreError
from trials.store._address import read_address
from trials.store._errors import disk_error
from trials.store._network import refuse_network_drive

VARIABLE = "HOLEWISE_DATA"


@dataclass(frozen=True, slots=True)
class ShopFolder:
    """One folder holds all of a shop: the database, traces, journals, locks and backups."""

    path: Path

    @property
    def database(self) -> Path:
        """The SQLite file."""
        return self.path / "holewise.db"

    @property
    def traces(self) -> Path:
        """Finished recordings as Parquet, one file each."""
        return self.path / "traces"

    @property
    def photos(self) -> Path:
        """Photos of drills as JPEG, named by their checksum."""
        return self.path / "photos"

    @property
    def journals(self) -> Path:
        """Bytes as they came, one folder a recording."""
        return self.path / "journals"

    @property
    def profiles(self) -> Path:
        """How machines talk, one TOML file each."""
        return self.path / "profiles"

    @property
    def former(self) -> Path:
        """What a rebuild replaced, one folder each."""
        return self.path / "former"

    @property
    def backups(self) -> Path:
        """Copies of the database, made before an upgrade."""
        return self.path / "backups"

    @property
    def people(self) -> Path:
        """Who may sign in to the dashboard; only the owner of the file may read it."""
        return self.path / "people.json"

    @property
    def sign_in_key(self) -> Path:
        """What the dashboard signs its sessions with; only the owner of the file may read it."""
        return self.path / "dashboard.key"

    @property
    def settings(self) -> Path:
        """The shop's name, units, decimal mark and currency."""
        return self.path / "shop.json"

    @property
    def people_lock(self) -> Path:
        """Held while people, key or settings are changed."""
        return self.path / "locks" / "people.lock"

    @property
    def schema_lock(self) -> Path:
        """Held while tables are made or changed."""
        return self.path / "locks" / "schema.lock"

    def run_lock(self, run_uuid: uuid.UUID) -> Path:
        """Held by the one process that records this run."""
        return self.path / "locks" / f"run-{run_uuid}.lock"

    def source_lock(self, source: str) -> Path:
        """Held by the one process that listens to this source, by whatever name it is called."""
        name = source.partition("?")[0].replace("shdr://", "tcp://", 1)
        port = name.removeprefix("serial://")
        name = os.path.realpath(port) if port.startswith("/dev/") else name
        return self.path / "locks" / f"source-{uuid.uuid5(uuid.NAMESPACE_URL, name)}.lock"

    def inside(self, relative: str) -> Path:
        """The path of a file that the store names, never outside the folder.

        Raises:
            StoreError: the name points out of the folder.
        """
        path = (self.path / relative).resolve()
        if not path.is_relative_to(self.path.resolve()):
            raise StoreError(
                "file named by the store", got=relative, allowed="a name inside the data folder",
                do="The database was changed by something else; run 'holewise doctor'.",
            )  # fmt: skip
        return path

    @property
    def address(self) -> Path:
        """Names the database server that is used in place of the SQLite file, if there is one."""
        return self.path / "database.toml"

    @property
    def files_address(self) -> Path:
        """Names the object store that traces and photos are sent to, if there is one."""
        return self.path / "files.toml"

    @property
    def cache(self) -> Path:
        """Copies of what lies on the object store, by checksum; may be removed."""
        return self.path / "cache"

    @property
    def url(self) -> URL:
        """The database as a SQLAlchemy URL: the SQLite file, or the server that is named.

        Raises:
            StoreError: the file that names the server is not to be used.
        """
        return read_address(self.address, self.database)

    @property
    def has_database(self) -> bool:
        """Whether there is a database already; a server is taken to have one."""
        return self.address.exists() or self.database.exists()


def shop_folder(folder: Path | str | None = None, *, create: bool = True) -> ShopFolder:
    """Find the shop's data folder: the argument, else ``HOLEWISE_DATA``, else the platform's.

    Args:
        folder: where it is; None asks the environment, then the platform.
        create: make it, with its subfolders, when it is not there; false wants a folder with a
            database in it.

    Raises:
        StoreError: absent or without a database (with ``create`` false), not a folder, or not to
            be read or written.
    """
    if folder is None:
        folder = os.environ.get(VARIABLE) or platformdirs.user_data_dir("holewise", appauthor=False)
    found = ShopFolder(Path(folder).expanduser().absolute())
    path = found.path
    if path.exists() and not path.is_dir():
        raise StoreError(
            f"data folder {path}: this is a file", allowed="a folder",
            do=f"Choose a folder with --data or {VARIABLE}.",
        )  # fmt: skip
    if not path.exists() and not create:
        raise StoreError(
            f"data folder {path} does not exist",
            do=f"Check the spelling of --data or {VARIABLE}; 'holewise trial new' makes the "
            "folder with the first trial.",
        )
    if not create and not found.has_database:
        raise StoreError(
            f"data folder {path} holds no database of Holewise",
            do=f"Check the spelling of --data or {VARIABLE}. Nothing was written there.",
        )
    if not found.address.exists():
        refuse_network_drive(path)
    try:
        for part in (path, found.traces, found.journals, found.schema_lock.parent):
            part.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise disk_error("data folder", path, error) from error
    if not os.access(path, os.R_OK | os.W_OK | os.X_OK):
        raise StoreError(
            f"data folder {path} may not be read and written by this account",
            do="Give your account the right to write there, or choose another folder with --data.",
        )
    return found
