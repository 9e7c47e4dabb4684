"""Photos of a run through the workbench: kept, scaled, taken out, put back."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import START, example_trial
from tests.helpers.pictures import picture
from trials.errors import InputError, NotFoundError
from trials.workbench import Workbench


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        for _ in range(2):
            bench.plan_run("bracket", START)
        bench.end_run("bracket", 1, "worn", holes=120)
        yield bench


def test_a_photo_comes_back_as_it_is_kept(bench: Workbench) -> None:
    photo = bench.add_photo(
        "bracket", 1, 40, picture(), mm_per_pixel=0.005, note=" corner ", who="anna"
    )
    assert (photo.trial, photo.run, photo.hole, photo.note, photo.who) == (
        "bracket", 1, 40, "corner", "anna",
    )  # fmt: skip
    assert (photo.width_px, photo.height_px, photo.mm_per_pixel) == (320, 240, 0.005)
    assert bench.photos("bracket") == bench.photos("bracket", 1) == [photo]
    assert bench.photos("bracket", 2) == []
    data = bench.photo_bytes(str(photo.uuid))
    assert data[:2] == b"\xff\xd8"
    assert (bench.folder / "photos" / f"{photo.sha256}.jpg").read_bytes() == data


def test_photos_stand_in_the_order_of_runs_and_holes(bench: Workbench) -> None:
    for run, hole in ((None, 5), (1, 80), (1, 40)):
        bench.add_photo("bracket", run, hole, picture())
    assert [(one.run, one.hole) for one in bench.photos("bracket")] == [(1, 40), (1, 80), (2, 5)]
    assert len(list((bench.folder / "photos").iterdir())) == 1, "the same picture is kept once"
    again = bench.add_photo("bracket", 1, 40, picture(), note="sent twice")
    assert again == bench.photos("bracket", 1)[0]
    assert len(bench.photos("bracket")) == 3


def test_its_scale_can_be_given_later_and_it_can_be_taken_out_and_put_back(
    bench: Workbench,
) -> None:
    key = bench.add_photo("bracket", 1, 40, picture()).uuid
    assert bench.set_photo_scale(key, 0.004).mm_per_pixel == 0.004
    assert bench.set_photo_scale(key, None).mm_per_pixel is None
    bench.remove_photo(key, who="ben")
    assert bench.photos("bracket") == []
    assert [one.uuid for one in bench.photos("bracket", removed=True)] == [key]
    assert bench.photo_bytes(key)
    assert bench.restore_photo(key).removed_utc is None
    assert [one.uuid for one in bench.photos("bracket")] == [key]


def test_what_cannot_be_leaves_nothing_behind(bench: Workbench) -> None:
    with pytest.raises(InputError, match="at most 120"):
        bench.add_photo("bracket", 1, 121, picture())
    with pytest.raises(InputError, match="0 or more"):
        bench.add_photo("bracket", 2, -1, picture())
    with pytest.raises(InputError, match="no picture"):
        bench.add_photo("bracket", 1, 40, b"#!/bin/sh\nexit")
    for scale in (0.0, -1.0, 11.0, float("nan")):
        with pytest.raises(InputError, match="scale of a photo"):
            bench.add_photo("bracket", 1, 40, picture(), mm_per_pixel=scale)
    with pytest.raises(NotFoundError):
        bench.add_photo("bracket", 3, 40, picture())
    assert bench.photos("bracket") == []
    assert not (bench.folder / "photos").exists()


def test_a_key_that_was_made_up_opens_nothing(bench: Workbench) -> None:
    for key in ("../holewise.db", "photos/x", "", "0" * 64):
        with pytest.raises(InputError, match="key of a photo"):
            bench.photo_bytes(key)
    with pytest.raises(NotFoundError, match="photo"):
        bench.photo_bytes(uuid.uuid4())


def test_on_the_command_line(bench: Workbench, tmp_path: Path) -> None:
    data = bench.folder
    file = tmp_path / "edge.bin"
    file.write_bytes(picture(kind="PNG"))
    none = holewise("photo", "list", "bracket", data=data)
    assert "No photos yet" in none.out
    added = holewise("photo", "add", "bracket", file, "--run", "1", "--hole", "40",
                     "--mm-per-pixel", "0.01", "--who", "anna", data=data)  # fmt: skip
    assert (added.status, added.err) == (0, "")
    assert "320 × 240 pixels" in added.out
    listed = holewise("photo", "list", "bracket", data=data)
    assert "3.200 mm" in listed.out
    assert str(bench.photos("bracket")[0].uuid) in listed.out
    absent = holewise("photo", "add", "bracket", tmp_path / "no", "--hole", "1", data=data)
    assert absent.status == 1
    assert "No such file" in absent.err
