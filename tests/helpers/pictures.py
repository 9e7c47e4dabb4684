"""Pictures for tests, made here: plain ones, and ones that nobody should be able to hand in."""

from __future__ import annotations

import io
import struct
import zlib

from PIL import Image

GPS_INFO, ORIENTATION = 0x8825, 0x0112


def picture(
    width: int = 320, height: int = 240, kind: str = "JPEG", *, exif: Image.Exif | None = None,
    mode: str = "RGB", comment: bytes = b"",
) -> bytes:  # fmt: skip
    """A grey picture whose left half is dark."""
    drawn = Image.new("RGB", (width, height), (190, 190, 190))
    drawn.paste((40, 40, 40), (0, 0, width // 2, height))
    out = io.BytesIO()
    options = {} if exif is None else {"exif": exif}
    if comment:
        options["comment"] = comment
    drawn.convert(mode).save(out, kind, **options)
    return out.getvalue()


def with_place(orientation: int = 1) -> Image.Exif:
    """EXIF as a phone writes it, with an invented place and a name."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[0x010E] = "SECRET-DESCRIPTION"
    exif[0x013B] = "SECRET-ARTIST"
    place = exif.get_ifd(GPS_INFO)
    place.update({1: "N", 2: (12.0, 34.0, 56.0), 3: "E", 4: (65.0, 43.0, 21.0)})
    return exif


def png_that_claims(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is very large: a decompression bomb."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (struct.pack(">I", len(body)) + name + body
                + struct.pack(">I", zlib.crc32(name + body)))  # fmt: skip

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    packed = zlib.compress(b"\0" * 100_000, 9)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed)
            + chunk(b"IEND", b""))  # fmt: skip
