"""Files that came over the dashboard, kept for the time in which they are looked through."""

from __future__ import annotations

import hashlib
import re
import shutil
import time
from pathlib import Path, PurePath

from trials.errors import NotFoundError, require
from trials.store import disk_error
from trials.workbench._shop import Shop

FOLDER = "inbox"
MOST_BYTES = 16 * 2**20
_KEPT_S = 24 * 3600.0
_TOKEN = re.compile(r"[0-9a-f]{32}/[\w\-][\w.\- ]{0,90}", re.ASCII)


def hold(shop: Shop, name: str, data: bytes) -> str:
    """Keep a file for a day; the text by which it is found again.

    Raises:
        InputError: too large for the dashboard.
    """
    require(0 < len(data) <= MOST_BYTES, f"file {name}", f"{len(data):,} bytes",
            f"1 to {MOST_BYTES:,}, here", "Larger files are taken in by command: "
            "holewise package import.")  # fmt: skip
    folder = shop.folder.path / FOLDER
    _tidy(folder)
    plain = re.sub(r"[^\w.\- ]", "_", PurePath(name.replace("\\", "/")).name, flags=re.ASCII)
    plain = plain.lstrip(". ")[-80:].lstrip(". ") or "file"
    token = f"{hashlib.sha256(data).hexdigest()[:32]}/{plain}"
    path = folder / token
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    except OSError as error:
        raise disk_error("file", path, error) from error
    return token


def held(shop: Shop, token: str) -> Path:
    """Where a held file lies.

    Raises:
        NotFoundError: it is not held any more, or never was.
    """
    path = shop.folder.path / FOLDER / token if _TOKEN.fullmatch(token) else None
    if path is None or not path.is_file():
        raise NotFoundError("file that was uploaded", do="Upload it again.")
    return path


def let_go(shop: Shop, token: str) -> None:
    """Keep a file no longer."""
    shutil.rmtree(held(shop, token).parent, ignore_errors=True)


def _tidy(folder: Path) -> None:
    if not folder.is_dir():
        return
    for one in folder.iterdir():
        if time.time() - one.stat().st_mtime > _KEPT_S:
            shutil.rmtree(one, ignore_errors=True)
