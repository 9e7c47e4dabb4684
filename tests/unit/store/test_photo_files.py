"""Photos that come in: only the picture is kept, and what is no picture is refused."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pytest
from PIL import Image

from tests.helpers.pictures import picture, png_that_claims, with_place
from trials.errors import InputError, StoreError
from trials.store import plain_photo, read_photo, write_photo
from trials.store._photo_files import MOST_BYTES


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_of_each_kind_becomes_a_plain_jpeg(kind: str) -> None:
    plain = plain_photo(picture(320, 240, kind))
    opened = Image.open(io.BytesIO(plain.data))
    assert (opened.format, opened.mode, opened.size) == ("JPEG", "RGB", (320, 240))
    assert (plain.width_px, plain.height_px) == (320, 240)
    assert plain.sha256 == hashlib.sha256(plain.data).hexdigest()
    dark, light = opened.getpixel((80, 120)), opened.getpixel((240, 120))
    assert max(dark) < 60, "what it shows stays"
    assert min(light) > 170


def test_nothing_that_stood_beside_the_picture_is_kept() -> None:
    data = picture(exif=with_place(), comment=b"SECRET-COMMENT")
    assert b"SECRET-ARTIST" in data
    assert b"SECRET-COMMENT" in data
    plain = plain_photo(data + b"SECRET-TAIL and a whole other file behind it")
    opened = Image.open(io.BytesIO(plain.data))
    assert dict(opened.getexif()) == {}
    assert not {"exif", "comment", "icc_profile", "xmp", "photoshop"} & set(opened.info)
    assert b"SECRET" not in plain.data


@pytest.mark.parametrize(
    ("orientation", "size", "dark_at"),
    # EXIF 2.32, tag 0x0112: 3 is upside down, 6 wants a quarter turn clockwise, 8 the other way.
    [(1, (320, 240), (20, 120)), (3, (320, 240), (300, 120)), (6, (240, 320), (120, 20)),
     (8, (240, 320), (120, 300))],
)  # fmt: skip
def test_it_stands_as_it_was_taken(
    orientation: int, size: tuple[int, int], dark_at: tuple[int, int]
) -> None:
    plain = plain_photo(picture(exif=with_place(orientation)))
    opened = Image.open(io.BytesIO(plain.data))
    assert opened.size == size
    assert max(opened.getpixel(dark_at)) < 60


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "no bytes"),
        (b"GIF89a" + b"\0" * 100, "no picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "no picture"),
        (b"%PDF-1.7 ...", "no picture"),
        (picture(kind="GIF"), "no picture"),
        (picture(kind="TIFF"), "no picture"),
        (picture(kind="BMP"), "no picture"),
        (picture()[:4], "no picture"),
        (picture(400, 400)[:2000], "cut off or damaged"),
        (picture(kind="PNG")[:-60], "cut off or damaged"),
        (picture(400, 400, "WEBP")[:120], "no picture"),
        (b"\0" * (MOST_BYTES + 1), "at most 15 MB"),
        (png_that_claims(8000, 6300), "50 million pixels"),  # 50.4 million
        (png_that_claims(40_000, 40_000), "50 million pixels"),
        (png_that_claims(60_000, 2), "20000 a side"),
    ],
)  # fmt: skip
def test_what_is_no_photo_is_refused_with_the_reason(data: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says):
        plain_photo(data)


def test_a_picture_smaller_than_it_claims_is_refused() -> None:
    with pytest.raises(InputError, match="cut off or damaged"):
        plain_photo(png_that_claims(4000, 4000))


@pytest.mark.parametrize("mode", ["L", "P", "LA", "RGBA", "1", "I;16"])
def test_other_pixels_become_rgb(mode: str) -> None:
    plain = plain_photo(picture(kind="PNG", mode=mode))
    assert Image.open(io.BytesIO(plain.data)).mode == "RGB"


def test_a_picture_that_sees_through_stands_on_white() -> None:
    clear = Image.new("RGBA", (50, 50), (0, 0, 0, 0))
    out = io.BytesIO()
    clear.save(out, "PNG")
    plain = plain_photo(out.getvalue())
    assert min(Image.open(io.BytesIO(plain.data)).getpixel((25, 25))) > 250


def test_files_are_whole_named_by_content_and_checked(tmp_path: Path) -> None:
    folder = tmp_path / "photos"
    plain = plain_photo(picture())
    path = write_photo(folder, plain)
    assert write_photo(folder, plain) == path
    assert [one.name for one in folder.iterdir()] == [f"{plain.sha256}.jpg"]
    assert read_photo(path, plain.sha256) == plain.data
    path.write_bytes(plain.data[:-1] + b"x")
    with pytest.raises(StoreError, match="checksum differs"):
        read_photo(path, plain.sha256)
    assert write_photo(folder, plain) == path, "a damaged file is written anew"
    assert read_photo(path, plain.sha256) == plain.data
    path.unlink()
    with pytest.raises(StoreError, match="copy of the data folder"):
        read_photo(path, plain.sha256)


def test_a_disk_that_refuses_leaves_nothing(tmp_path: Path) -> None:
    blocked = tmp_path / "photos"
    blocked.write_text("a file where the folder should be")
    with pytest.raises(StoreError, match="photo"):
        write_photo(blocked, plain_photo(picture()))
    assert [one.name for one in tmp_path.iterdir()] == ["photos"]
