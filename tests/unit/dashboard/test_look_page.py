"""The page at the drill: what is typed becomes a reading, and what is odd about it is said."""

from __future__ import annotations

import base64
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from dashboard import create_app, ids, links, photos, read
from dashboard.pages import PAGES, look_entry, look_photo
from dashboard.show import Show
from dashboard.texts import look as texts
from tests.helpers.example_trial import START, example_trial
from tests.helpers.page_words import idents, words
from tests.helpers.pictures import picture
from trials.errors import InputError, NotFoundError
from trials.model import Photo, WearReading, length_on, scale_of
from trials.workbench import Workbench

NAME = "bracket"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as opened:
        opened.new_trial(example_trial(NAME))
        yield opened


@pytest.mark.parametrize(
    ("text", "system", "mm"),
    [
        ("0,12", "metric", 0.12),
        ("0.12", "metric", 0.12),
        (" 0.12 mm ", "metric", 0.12),
        ("0.005", "inch", 0.127),  # 25.4 mm an inch, exact by definition
        ("0,005", "inch", 0.127),
        ("0.12 mm", "inch", 0.12),
        ("0.005 in", "metric", 0.127),
        ("11/32", "inch", 8.73125),
        ("", "metric", None),
        (None, "inch", None),
    ],
)
def test_a_length_is_read_as_it_was_meant(text: Any, system: Any, mm: float | None) -> None:
    found = read.length_mm(text, "VB average", system)
    assert found == (None if mm is None else pytest.approx(mm, rel=1e-12))


@pytest.mark.parametrize("text", ["1,234", "much", "<script>", "0.1 kg", "--", "1e400"])
def test_what_is_no_length_names_the_field(text: str) -> None:
    with pytest.raises(InputError, match="VB average"):
        read.length_mm(text, "VB average", "metric")


def test_an_entry_becomes_a_reading() -> None:
    typed = dict.fromkeys(texts.FIELDS, "") | {"vb_average_mm": "0,08", "vb_maximum_mm": "0.11"}
    assert look_entry.read("40", typed, " dull ", "metric") == WearReading(
        40, vb_average_mm=0.08, vb_maximum_mm=0.11, note="dull"
    )
    for hole in ("", None, "4.5", "-1", "many"):
        with pytest.raises(InputError, match="hole number"):
            look_entry.read(hole, typed, "", "metric")
    with pytest.raises(InputError, match="Nothing is filled in"):
        look_entry.read("40", dict.fromkeys(texts.FIELDS, ""), " ", "metric")
    with pytest.raises(InputError, match="swapped"):
        look_entry.read("40", {"vb_average_mm": "0.2", "vb_maximum_mm": "0.1"}, "", "metric")
    made_up = look_entry.read("40", {"hole": "7", "vb_average_mm": "0.1"}, "", "metric")
    assert made_up.hole == 40, "a field that is not on the page is not taken"


def test_a_slip_of_the_finger_is_told_and_kept_all_the_same() -> None:
    before = (WearReading(20, vb_average_mm=0.08),)
    said = words(look_entry.kept(WearReading(40, vb_average_mm=0.8), before, Show()))
    assert "more than four times" in said
    assert "hole 20" in said
    less = words(look_entry.kept(WearReading(40, vb_average_mm=0.05), before, Show(decimal=",")))
    assert "0,080 mm" in less
    assert "does not heal" in less
    fine = words(look_entry.kept(WearReading(40, vb_average_mm=0.12), before, Show()))
    assert fine == "Kept: hole 40, VB average 0.120 mm."


def test_scale_and_length_on_a_photo() -> None:
    """By hand: a line of 3-4-5 times 100 pixels along 8 mm is 0.016 mm for a pixel."""
    line = ((100.0, 100.0), (400.0, 500.0))
    scale = scale_of(line, 8.0)
    assert scale == pytest.approx(0.016)
    photo = Photo(uuid.uuid4(), NAME, 1, 40, "0" * 64, 1600, 1200, scale)
    assert length_on(photo, ((0.0, 0.0), (12.0, 5.0))) == pytest.approx(13 * 0.016)
    assert length_on(Photo(uuid.uuid4(), NAME, 1, 40, "0" * 64, 10, 10), line) is None
    for wrong, mm in ((((1.0, 1.0), (5.0, 4.0)), 8.0), (line, 0.0), (line, -1.0), (line, 1e9)):
        with pytest.raises(InputError, match="scale"):
            scale_of(wrong, mm)


@pytest.mark.parametrize(
    "points", [[], [[1, 2]], "ab", [[1, 2], ["x", 3]], [[1, 2], [None, 3]], [[0, 0], [1e999, 0]], 7]
)
def test_a_line_that_is_none_is_refused(points: Any) -> None:
    with pytest.raises(InputError, match="two points"):
        look_photo._line(points)


@pytest.mark.parametrize(
    "contents",
    ["", "abc", "data:image/png;base64", "data:image/png,abc", "data:;base64,%%%",
     "data:;base64,AAA"],
)  # fmt: skip
def test_an_upload_that_no_browser_writes_is_refused(contents: str) -> None:
    with pytest.raises(InputError, match="Nothing was kept"):
        photos.uploaded(contents)


def test_an_upload_gives_its_bytes_and_too_many_are_refused() -> None:
    data = picture()
    written = "data:text/html;base64," + base64.b64encode(data).decode()
    assert photos.uploaded(written) == data, "what it says it is does not matter"
    with pytest.raises(InputError, match="larger than 15 MB"):
        photos.uploaded("data:;base64," + "A" * (22 * 1024 * 1024))


def test_a_picture_is_served_by_its_key_only(bench: Workbench) -> None:
    bench.plan_run(NAME, START)
    photo = bench.add_photo(NAME, 1, 0, picture())
    client = create_app(bench).server.test_client()
    answer = client.get(links.photo(photo.uuid))
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.data == bench.photo_bytes(photo.uuid)
    for key in (uuid.uuid4(), "../holewise.db", f"{photo.sha256}.jpg", "%2e%2e%2fholewise.db"):
        answer = client.get(links.photo(key))
        assert answer.mimetype != "image/jpeg"
        assert not answer.data.startswith(b"SQLite")


def test_an_empty_trial_says_what_to_do(bench: Workbench) -> None:
    content, _ = PAGES["look"].layout(bench, Show(), NAME, None)
    assert texts.EMPTY_TITLE in words(content)
    with pytest.raises(NotFoundError):
        PAGES["look"].layout(bench, Show(), NAME, 3)


def test_the_page_stands_at_the_run_that_is_open(bench: Workbench) -> None:
    for _ in range(2):
        bench.plan_run(NAME, START)
    bench.end_run(NAME, 1, "worn", holes=100)
    content, _ = PAGES["look"].layout(bench, Show(), NAME, None)
    said = words(content)
    assert "Run 2, plain" in said
    assert texts.END in said
    for word in texts.END_WORDS.values():
        assert word in said
    assert ids.LOOK_STAGE not in idents(content)
    ended = words(PAGES["look"].layout(bench, Show(), NAME, 1)[0])
    assert "Run 1 has ended after 100 holes" in ended
    assert texts.ENDED_UNDO in ended
