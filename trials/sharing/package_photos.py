"""Photos of a package: pictures and nothing else, as this program keeps them.

A photo is taken in as it is, so that a package goes out again with the same bytes. So it is looked
at first: a JPEG whose parts are those that a picture needs, without comments, places, names or
other files, that can be decoded within the limits for photos and has the size that is said of it.
"""

from __future__ import annotations

import hashlib
from typing import NoReturn

from trials.errors import InputError
from trials.store import plain_photo

_NO_LENGTH = {0xD8, 0xD9, 0x01, *range(0xD0, 0xD8)}
_PICTURE = {0xC0, 0xC1, 0xC2, 0xC4, 0xDB, 0xDD, 0xDA}
_JFIF = b"JFIF\x00"


def check_photo(data: bytes, sha256: str, size_px: tuple[int, int], where: str) -> None:
    """Refuse what is not a plain picture with that checksum and size in pixels.

    Raises:
        InputError: it is not; says why.
    """
    if hashlib.sha256(data).hexdigest() != sha256:
        _refuse(where, "another checksum than its name says")
    _check_parts(data, where)
    photo = plain_photo(data)
    if (photo.width_px, photo.height_px) != size_px:
        _refuse(where, f"{photo.width_px} × {photo.height_px} pixels",
                f"{size_px[0]} × {size_px[1]}, as photos.csv says")  # fmt: skip


def _check_parts(data: bytes, where: str) -> None:
    if data[:2] != b"\xff\xd8" or data[-2:] != b"\xff\xd9":
        _refuse(where, "not a whole JPEG")
    at, end = 2, len(data) - 2
    while at < end:
        if data[at] != 0xFF or at + 4 > end:
            _refuse(where, "bytes that are no part of a picture")
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        if marker == 0xE0:
            # Only the plain form without a small picture inside.
            if length != 16 or data[at + 4 : at + 9] != _JFIF:
                _refuse(where, "something beside the picture")
        elif marker in _NO_LENGTH or marker not in _PICTURE:
            _refuse(where, f"something beside the picture (part {marker:02X})")
        at += 2 + length
        if marker == 0xDA:
            at = _after_scan(data, at, end)


def _after_scan(data: bytes, at: int, end: int) -> int:
    """Where the coded picture data end that begin here."""
    while True:
        at = data.find(b"\xff", at, end)
        if at < 0:
            return end
        if data[at + 1] != 0 and not 0xD0 <= data[at + 1] <= 0xD7:
            return at
        at += 2


def _refuse(where: str, got: str, allowed: str = "a picture and nothing beside it") -> NoReturn:
    raise InputError(where, got=got, allowed=allowed, do="Nothing was taken from it.")
