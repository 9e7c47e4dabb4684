"""What a journal asks of the operating system: its lock, its folder, which start this is."""

from __future__ import annotations

import os
import time
from pathlib import Path

from trials.errors import JournalError

try:
    import fcntl
except ImportError:  # pragma: no cover - not on this kind of system
    fcntl = None  # type: ignore[assignment] # absent outside POSIX: then only the folder guards

_WAIT_FOR_THE_DEAD_S = 15.0


def take_lock(folder: Path) -> int:
    """Be the only writer; the system lets go when the process ends, however it ends.

    When the writer has died, its keeper (`trials.logger.keeper`) may still be saving what came in:
    that is waited for.

    Raises:
        JournalError: another logger writes it, or the folder cannot be written.
    """
    path = folder / "writer.lock"
    try:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as error:
        raise cannot_write(folder, error) from error
    give_up = time.monotonic() + _WAIT_FOR_THE_DEAD_S
    while fcntl is not None:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            holder = os.pread(descriptor, 200, 0).decode("utf-8", "replace").strip()
            if not _alive(holder) and time.monotonic() < give_up:
                time.sleep(0.02)
                continue
            os.close(descriptor)
            raise JournalError(
                f"journal {folder.name}", got=f"another logger writes it ({holder or 'unknown'})",
                allowed="one logger a recording", do="Stop the other, or start a new recording.",
            ) from None  # fmt: skip
        else:
            break
    os.ftruncate(descriptor, 0)
    os.pwrite(descriptor, f"process {os.getpid()}".encode(), 0)
    return descriptor


def _alive(holder: str) -> bool:
    number = holder.removeprefix("process ")
    if not number.isdigit():
        return True
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except OSError:
        pass
    return True


def cannot_write(folder: Path, error: OSError) -> JournalError:
    """The error to raise when the system refuses to write."""
    return JournalError(
        f"journal {folder.name} cannot be written", got=error.strerror or str(error),
        allowed="a folder on a local disk with room left and the right to write",
        do="Free some space or mend the rights; what was written before is kept.",
    )  # fmt: skip


def boot_id() -> str | None:
    """Which start of this computer this is; None where the system does not say."""
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        return None


def sync_folder(folder: Path) -> None:
    """Make the names in a folder durable."""
    if os.name == "posix":
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
