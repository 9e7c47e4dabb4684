"""Photos as files: what comes in is opened with limits, made plain, and written whole.

A photo may come from anybody. Only what it shows is kept: it is decoded and written anew as JPEG,
so nothing that was beside the picture (place, names, comments, other files) stays.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import threading
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps

from trials.errors import InputError, StoreError, require
from trials.store._errors import disk_error

MOST_BYTES = 15 * 1024 * 1024
MOST_PIXELS = 50_000_000
MOST_SIDE_PX = 20_000
_KINDS = ("JPEG", "PNG", "WEBP")
_QUALITY = 90
_DO = "Take it again with a camera or phone, or save it as JPEG, PNG or WebP."

# One picture is decoded at a time: each may need 150 MB for a moment.
_turn = threading.Lock()


@dataclass(frozen=True, slots=True)
class PlainPhoto:
    """A picture without anything beside it: JPEG bytes, their SHA-256, and the size in pixels."""

    data: bytes
    sha256: str
    width_px: int
    height_px: int


def plain_photo(data: bytes) -> PlainPhoto:
    """Make a photo plain: upright as it was taken, in RGB, as JPEG, with no metadata at all.

    Args:
        data: a JPEG, PNG or WebP file, known by its content alone; of several pictures in it the
            first is taken.

    Raises:
        InputError: too many bytes or pixels, another kind of file, cut off, or damaged.
    """
    require(len(data) > 0, "photo", "no bytes", "a picture", _DO)
    require(len(data) <= MOST_BYTES, "photo", f"{len(data) / 2**20:.1f} MB",
            f"at most {MOST_BYTES // 2**20} MB", "Take it with less resolution.")  # fmt: skip
    with _turn:
        picture = _decoded(data)
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=_QUALITY)
    jpeg = out.getvalue()
    return PlainPhoto(jpeg, hashlib.sha256(jpeg).hexdigest(), picture.width, picture.height)


def smaller_photo(data: bytes, widest_px: int) -> bytes:
    """A kept picture made to fit a square of that size; one that fits already stays."""
    with _turn:
        picture = _decoded(data)
        if max(picture.size) <= widest_px:
            return data
        picture.thumbnail((widest_px, widest_px))
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()


def _decoded(data: bytes) -> Image.Image:
    try:
        opened = Image.open(io.BytesIO(data), formats=_KINDS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_large("far more") from None
    except Exception as error:
        raise InputError(
            "photo: its content is no picture that is known here", got=data[:12],
            allowed="JPEG, PNG or WebP", do=_DO,
        ) from error  # fmt: skip
    width, height = opened.size
    if width * height > MOST_PIXELS or max(width, height) > MOST_SIDE_PX:
        raise _too_large(f"{width} × {height} pixels")
    try:
        opened.load()
        upright = _upright(opened)
        if upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info:
            upright = Image.alpha_composite(
                Image.new("RGBA", upright.size, "white"), upright.convert("RGBA")
            )
        # A new picture takes the pixels along and nothing else.
        plain = Image.new("RGB", upright.size)
        plain.paste(upright.convert("RGB"))
    # Decoders raise many kinds on damaged files.
    except Exception as error:
        raise InputError(f"photo: it is cut off or damaged ({error})", do=_DO) from error
    return plain


def _upright(picture: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(picture)
    except Exception:  # noqa: BLE001 - a picture whose side notes are broken is still a picture
        return picture


def _too_large(got: str) -> InputError:
    return InputError(
        "photo", got=got,
        allowed=f"at most {MOST_PIXELS // 1_000_000} million pixels, {MOST_SIDE_PX} a side",
        do="Take it with less resolution.",
    )  # fmt: skip


def photo_file(photos: Path, sha256: str) -> Path:
    """Where a picture of this checksum lies."""
    return photos / f"{sha256}.jpg"


def write_photo(photos: Path, photo: PlainPhoto) -> Path:
    """Write a picture under its checksum, durable before it has its name; the same one once.

    Raises:
        StoreError: the disk refuses.
    """
    path = photo_file(photos, photo.sha256)
    partial = path.with_suffix(f".partial-{os.getpid()}-{threading.get_ident()}")
    try:
        photos.mkdir(parents=True, exist_ok=True)
        if path.exists() and path.read_bytes() == photo.data:
            return path
        with partial.open("wb") as file:
            file.write(photo.data)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError as error:
        raise disk_error("photo", path, error) from error
    finally:
        with contextlib.suppress(OSError):  # the first error is the one to tell
            partial.unlink(missing_ok=True)
    return path


def read_photo(path: Path, sha256: str) -> bytes:
    """The bytes of a picture's file, checked against its checksum.

    Raises:
        StoreError: the file is absent, cannot be read, or is not what was kept.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise disk_error("photo", path, error,
                         "Put it back from a copy of the data folder.") from error  # fmt: skip
    if hashlib.sha256(data).hexdigest() != sha256:
        raise StoreError(f"photo {path}: it is not what was kept, its checksum differs",
                         do="Put it back from a copy of the data folder.")  # fmt: skip
    return data
