"""The shop itself: who may look, what is set for all screens, where things lie, how loggers do."""

from __future__ import annotations

import json
import shutil
import threading
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from trials import __version__
from trials.errors import ConflictError, StoreError
from trials.model import Machine, ShopSettings
from trials.model.plain import from_plain, to_plain
from trials.store import HEAD, FileLock, People, disk_error, is_password, secret_key, write_whole
from trials.workbench._health import HealthViews
from trials.workbench._shop import Shop
from trials.workbench._shop_values import AboutShop, Backup, LoggerHealth

if TYPE_CHECKING:
    from trials.mechanics import Catalogue
    from trials.store import Person, Role
    from trials.workbench._values import LiveView


class ShopFace:
    """People, settings and health; see `trials.workbench.Workbench`."""

    _shop: Shop
    _people: People | None = None
    _health: HealthViews | None = None
    _shop_turn = threading.Lock()

    if TYPE_CHECKING:  # given by the other parts of the workbench

        def live(self, trial: str, run: int | None = None) -> LiveView | None: ...

        def catalogue(self) -> Catalogue: ...

    # People

    def people(self) -> tuple[Person, ...]:
        """Everybody who may sign in to the dashboard; empty where nobody was added."""
        return self._all_people().everyone()

    def person(self, name: str) -> Person | None:
        """Who may sign in under this name; None when nobody may."""
        return self._all_people().find(name)

    def add_person(
        self, name: str, password: str, role: Role, *, sees_prices: bool = True
    ) -> Person:
        """Let somebody sign in; the password is kept as a salted hash only.

        Args:
            name: what is typed when signing in.
            password: 8 letters or more.
            role: ``editor`` may change things, ``reader`` only looks.
            sees_prices: false hides every amount of money from them.
        """
        return self._all_people().add(name, password, role, sees_prices=sees_prices)

    def remove_person(self, name: str) -> Person:
        """Let somebody sign in no longer; their sessions end."""
        return self._all_people().remove(name)

    @staticmethod
    def is_password(password: str, password_hash: str | None) -> bool:
        """Whether a password fits a hash; None fits nothing, and takes as long to say so."""
        return is_password(password, password_hash)

    def sign_in_key(self) -> bytes:
        """The random key of this data folder that sessions are signed with; made once."""
        return secret_key(self._shop.folder.sign_in_key, self._shop.folder.people_lock)

    def _all_people(self) -> People:
        with self._shop_turn:
            if self._people is None:
                self._people = People(self._shop.folder)
            return self._people

    # Settings

    def settings(self) -> ShopSettings:
        """What is set for all screens of this shop."""
        path = self._shop.folder.settings
        try:
            return from_plain(ShopSettings, json.loads(path.read_bytes()), str(path))
        except FileNotFoundError:
            return ShopSettings()
        except OSError as error:
            raise disk_error("settings", path, error) from error
        except ValueError as error:
            raise StoreError(
                f"settings {path} are not as this program writes them", got=str(error),
                do="Delete the file and set them again.",
            ) from error  # fmt: skip

    def change_settings(self, to: ShopSettings, *, was: ShopSettings) -> ShopSettings:
        """Set them for all screens; ``was`` is what the person saw before changing them."""
        folder = self._shop.folder
        with FileLock(folder.people_lock, "changing the settings of this shop", wait_s=5.0):
            if self.settings() != was:
                raise ConflictError(
                    "somebody changed the settings since you opened them",
                    do="Nothing was changed. Load the page again and look at them first.",
                )
            content = json.dumps(to_plain(to), ensure_ascii=False, indent=2)
            write_whole(folder.settings, content.encode(), "settings")
        return to

    def about(self) -> AboutShop:
        """Where the shop's data lie, how much room they take, and what machines it names."""
        from trials.logger import profiles_in
        from trials.workbench._choose_face import CATALOGUE_FILE

        folder = self._shop.folder
        machines: dict[Machine, list[str]] = {}
        runs = 0
        stored = self._shop.store.trials_with_runs()
        for one, its_runs in stored:
            runs += len(its_runs)
            machines.setdefault(one.trial.machine, []).append(one.trial.name)
        return AboutShop(
            folder=folder.path, version=__version__, schema=HEAD,
            database_bytes=sum(
                file.stat().st_size for file in folder.path.glob(f"{folder.database.name}*")
            ),
            free_bytes=shutil.disk_usage(folder.path).free, trials=len(stored), runs=runs,
            backups=_backups(folder.backups),
            machines=tuple((machine, tuple(names)) for machine, names in machines.items()),
            materials=len(self.catalogue().materials),
            own_catalogue=(folder.path / CATALOGUE_FILE).exists(),
            profiles=tuple(profiles_in(folder.profiles)),
        )  # fmt: skip

    # Health

    def health(self) -> LoggerHealth:
        """How every recording at work stands, from its journal and the store alone."""
        with self._shop_turn:
            if self._health is None:
                self._health = HealthViews(self._shop, self.live)
        return self._health.look()


def _backups(folder: Path) -> tuple[Backup, ...]:
    found = []
    for path in folder.glob("*.db"):
        stat = path.stat()
        found.append(Backup(path, datetime.fromtimestamp(stat.st_mtime, UTC), stat.st_size))
    return tuple(sorted(found, key=lambda one: one.made_utc, reverse=True))
