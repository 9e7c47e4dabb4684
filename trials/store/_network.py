"""Is a folder on a drive of this computer? SQLite must not be used over a network.

Its write-ahead log needs memory that all processes share, and its locks are not kept by every
network drive (SQLite's own documentation, "Write-Ahead Logging" and "How To Corrupt An SQLite
Database File").
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

from trials.errors import StoreError

# Kinds of file systems that lie on another computer, as the systems name them.
_NETWORK = frozenset({
    "nfs", "nfs3", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "afpfs", "afs", "ncp", "ncpfs",
    "webdav", "davfs", "davfs2", "glusterfs", "ceph", "lustre", "beegfs", "gpfs", "orangefs",
    "pvfs2", "coda", "gfs2", "ocfs2",
})  # fmt: skip
_NETWORK_FUSE = re.compile(
    r"^(fuse|osxfuse|macfuse).*(sshfs|rclone|dav|s3|goofys|smb|gluster|ceph)"
)
_MOUNTINFO = Path("/proc/self/mountinfo")


def refuse_network_drive(folder: Path) -> None:
    """Refuse a data folder that lies on a network drive; where that is not known, say nothing.

    Raises:
        StoreError: it does; says what to do.
    """
    kind = drive_kind(folder)
    if kind is None or not is_network(kind):
        return
    raise StoreError(
        f"data folder {folder} is on a network drive ({kind})",
        allowed="a folder on a disk of this computer",
        do="The database in it is SQLite, which loses or mixes up data over a network. Choose a "
        "folder on this computer with --data. Others see it with the dashboard; copies of the "
        "folder may lie on the network drive.",
    )


def is_network(kind: str) -> bool:
    """Whether a kind of file system lies on another computer."""
    plain = kind.casefold()
    return plain in _NETWORK or bool(_NETWORK_FUSE.match(plain))


def drive_kind(folder: Path) -> str | None:
    """Kind of the file system that a folder lies, or would lie, on; None when not known."""
    real = _existing(folder)
    if sys.platform == "win32":
        return _windows_kind(real)
    try:
        if sys.platform == "linux":
            return kind_by_mountinfo(real, _MOUNTINFO.read_text(encoding="utf-8", errors="replace"))
        if sys.platform == "darwin":
            said = subprocess.run(
                ["/sbin/mount"], capture_output=True, text=True, timeout=5, check=False
            )
            return kind_by_mount(real, said.stdout)
    except (OSError, subprocess.SubprocessError):
        return None
    return None


def kind_by_mountinfo(folder: Path, table: str) -> str | None:
    """The kind by a table as in ``/proc/self/mountinfo`` (proc(5)): the longest mount point that
    the folder is below, the newest where several lie on each other."""
    found: tuple[int, str] | None = None
    for line in table.splitlines():
        left, mark, right = line.partition(" - ")
        parts, kind = left.split(" "), right.split(" ")[0]
        if not mark or len(parts) < 5:
            continue
        place = Path(re.sub(r"\\([0-7]{3})", lambda code: chr(int(code[1], 8)), parts[4]))
        if folder.is_relative_to(place) and (found is None or len(place.parts) >= found[0]):
            found = (len(place.parts), kind)
    return None if found is None else found[1]


def kind_by_mount(folder: Path, said: str) -> str | None:
    """The kind by what ``mount`` says on macOS: ``//host/share on /Volumes/share (smbfs, …)``."""
    found: tuple[int, str] | None = None
    for line in said.splitlines():
        match = re.match(r"^.* on (/.*) \(([\w.]+)[,)]", line)
        if match is None:
            continue
        place = Path(match[1])
        if folder.is_relative_to(place) and (found is None or len(place.parts) >= found[0]):
            found = (len(place.parts), match[2])
    return None if found is None else found[1]


def _existing(folder: Path) -> Path:
    """The folder with links followed; its nearest parent that is there where it is not."""
    real = Path(os.path.realpath(folder))
    while not real.exists() and real != real.parent:
        real = real.parent
    return real


if sys.platform == "win32":
    import ctypes

    _REMOTE = 4  # DRIVE_REMOTE of GetDriveTypeW

    def _windows_kind(folder: Path) -> str | None:
        if folder.drive.startswith("\\\\"):
            return "smb"
        remote = ctypes.windll.kernel32.GetDriveTypeW(f"{folder.drive}\\") == _REMOTE
        return "smb" if remote else None

else:

    def _windows_kind(folder: Path) -> str | None:
        """Asked on Windows alone."""
        del folder
        return None
