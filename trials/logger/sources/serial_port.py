"""Serial ports, and everything else that pyserial can open by URL."""

from __future__ import annotations

import contextlib
import errno
import os
import select
import stat
from pathlib import Path
from typing import Any

import serial
from serial.tools import list_ports

from trials.errors import InputError, SourceError

CHUNK_BYTES = 65_536
_GENERIC_WAIT_S = 0.02  # ports without a file descriptor: fixed-size reads with a short wait
_BYTE_SIZES = {"5": 5, "6": 6, "7": 7, "8": 8}
_OPTIONS = ("baud", "bytesize", "parity", "stopbits", "xonxoff", "rtscts")


class SerialSource:
    """Reads a serial port that nobody else may use meanwhile.

    On POSIX it waits with ``select`` and reads what is there, elsewhere it reads pieces of fixed
    size with a short wait; never whole lines, because a line that times out comes in two halves.

    Args:
        port: ``/dev/ttyUSB0``, ``COM3``, or a pyserial URL (``socket://``, ``rfc2217://``, …).
        options: ``baud`` (9600), ``bytesize`` (8), ``parity`` (N), ``stopbits`` (1), ``xonxoff``,
            ``rtscts`` (0 or 1).
    """

    is_file = False
    can_go_on = False

    def __init__(self, port: str, **options: str) -> None:
        unknown = sorted(set(options) - set(_OPTIONS))
        if unknown or not port:
            raise InputError(
                "serial source", got=", ".join(unknown) or "no port",
                allowed="a port with the options " + ", ".join(_OPTIONS),
            )  # fmt: skip
        self._port_name = port
        self.name = port if "://" in port else f"serial://{port}"
        # A pseudo-terminal keeps what was sent before we came; a real port does not, and pyserial
        # drops what waits behind a URL.
        self.first_line_whole = port.startswith("/dev/pts/")
        self._options = options
        self._settings = self._checked(options)
        self._serial: Any = None
        self._descriptor: int | None = None
        self._memory: memoryview | None = None

    @staticmethod
    def _checked(options: dict[str, str]) -> dict[str, Any]:
        try:
            settings: dict[str, Any] = {
                "baudrate": int(options.get("baud", "9600")),
                "bytesize": _BYTE_SIZES[str(options.get("bytesize", "8"))],
                "parity": {"N": "N", "E": "E", "O": "O"}[str(options.get("parity", "N")).upper()],
                "stopbits": {"1": 1, "1.5": 1.5, "2": 2}[str(options.get("stopbits", "1"))],
                "xonxoff": bool(int(options.get("xonxoff", "0"))),
                "rtscts": bool(int(options.get("rtscts", "0"))),
            }
        except (ValueError, KeyError) as error:
            raise InputError(
                "settings of the serial port", got=str(error.args[0]),
                allowed="baud a whole number, bytesize 5 to 8, parity N, E or O, stopbits 1, 1.5 "
                "or 2, xonxoff and rtscts 0 or 1",
            ) from None  # fmt: skip
        if not 50 <= settings["baudrate"] <= 12_000_000:
            raise InputError("baud", got=settings["baudrate"], allowed="50 to 12,000,000")
        return settings

    def open(self) -> None:
        try:
            port: Any = serial.serial_for_url(self._port_name, do_not_open=True, **self._settings)
            if "://" not in self._port_name:
                port.exclusive = True
                # pyserial empties the input while it opens: on a pseudo-terminal that loses lines.
                port._reset_input_buffer = _keep
            port.timeout = 0
            port.open()
        except (serial.SerialException, OSError, ValueError) as error:
            raise self._explain(error) from error
        self._serial = port
        self._descriptor = None
        if os.name == "posix" and "://" not in self._port_name:
            self._descriptor = port.fileno()

    def read(self, timeout_s: float) -> bytes | None:
        if self._serial is None:
            raise SourceError(self.name, got="it is not open")
        try:
            if self._descriptor is None:
                self._serial.timeout = min(timeout_s, _GENERIC_WAIT_S)
                return bytes(self._serial.read(4096))
            ready, _, _ = select.select([self._descriptor], [], [], timeout_s)
            if not ready:
                return b""
            if self._memory is None:
                data = os.read(self._descriptor, CHUNK_BYTES)
            else:
                data = bytes(self._memory[: os.readv(self._descriptor, [self._memory])])
        except (serial.SerialException, OSError) as error:
            if isinstance(error, BlockingIOError):
                return b""
            raise self._broken(str(error)) from error
        if not data:
            raise self._broken("it answers that data are there and gives none: unplugged?")
        return data

    def _broken(self, found: str) -> SourceError:
        return SourceError(
            f"{self.name}: the link broke", got=found,
            do="Look at the cable and the adapter; is another program using the port?",
        )  # fmt: skip

    def close(self) -> None:
        if self._serial is not None:
            with contextlib.suppress(serial.SerialException, OSError):
                self._serial.close()
            self._serial = None
            self._descriptor = None

    def land_in(self, memory: memoryview | None) -> None:
        self._memory = memory

    def fileno(self) -> int | None:
        return self._descriptor

    def describe(self) -> dict[str, str]:
        return {"kind": "serial", "address": self.name, **self._options}

    def go_on_from(self, byte_count: int) -> None:
        """A live link cannot go back."""

    def go_on_behind(self, _tail: bytes, /) -> bool:
        return False

    # -- what to do when it cannot be opened ----------------------------------------------------

    def _explain(self, error: Exception) -> SourceError:
        number = getattr(error, "errno", None)
        if "://" in self._port_name:
            return SourceError(
                self.name, got=str(error),
                do="Is the address right, and is the other side started?",
            )  # fmt: skip
        if number == errno.EACCES or isinstance(error, PermissionError):
            return SourceError(
                f"port {self._port_name}", got="no permission to open it",
                allowed=who_may_use(self._port_name),
                do="Become a member of that group (on most Linux systems: sudo usermod -aG dialout "
                "$USER), then log out and in again.",
            )  # fmt: skip
        if number in (errno.EBUSY, errno.EAGAIN) or "lock" in str(error).lower():
            holders = who_holds(self._port_name)
            return SourceError(
                f"port {self._port_name}", got="another program is using it"
                + (f": {', '.join(holders)}" if holders else ""),
                allowed="one program at a time",
                do="Close the other program, or log from another port.",
            )  # fmt: skip
        absent = number == errno.ENOENT or not Path(self._port_name).exists()
        return SourceError(
            f"port {self._port_name}", got="there is no such port" if absent else str(error),
            allowed=f"one of the ports found here: {', '.join(ports_found()) or 'none'}",
            do="Is the adapter plugged in and the name spelled right?",
        )  # fmt: skip


def _keep() -> None:
    """Instead of emptying the input."""


def ports_found() -> list[str]:
    """Names of the serial ports that this computer has, with what they say they are."""
    shown = []
    for port in sorted(list_ports.comports()):
        about = "" if port.description in (None, "n/a", "") else f" ({port.description})"
        shown.append(f"{port.device}{about}")
    return shown


def who_may_use(port: str) -> str:
    """Owner and group of a device and what each may do with it."""
    try:
        import grp
        import pwd

        found = Path(port).stat()
        with contextlib.suppress(KeyError):
            owner, group = pwd.getpwuid(found.st_uid).pw_name, grp.getgrgid(found.st_gid).gr_name
            rights = stat.filemode(found.st_mode)
            return f"its owner {owner} and members of its group {group} (rights {rights})"
    except (OSError, ImportError):
        pass
    return "its owner and members of its group, on most Linux systems the group dialout"


def who_holds(port: str) -> list[str]:
    """Processes that have a port open, as far as this system lets us see."""
    holders = []
    try:
        wanted = os.path.realpath(port)
        for process in Path("/proc").iterdir():
            if not process.name.isdigit() or process.name == str(os.getpid()):
                continue
            with contextlib.suppress(OSError):
                if any(os.path.realpath(one) == wanted for one in (process / "fd").iterdir()):
                    name = (process / "comm").read_text().strip()
                    holders.append(f"{name} (process {process.name})")
    except OSError:
        pass
    return holders
