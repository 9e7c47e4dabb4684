"""The report: needs nothing from outside, speaks both unit systems, holds nothing removed."""

from __future__ import annotations

import base64
import re
from pathlib import Path

import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.shared_trial import NAME, fill_shop
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    fill_shop(folder, tmp_path_factory.mktemp("scratch"), holes=12)
    return folder


def test_it_says_all_and_needs_nothing_from_outside(shop: Path) -> None:
    with Workbench.open(shop) as bench:
        page = bench.report(NAME)
    for part in ("The question", "Drills", "Method", "Runs", "Wear", "How long an edge lasts",
                 "Cost", "Recommendation", "What was not known", "Cautions"):  # fmt: skip
        assert f"<h2>{part}</h2>" in page
    assert page.index("How sure") < page.index('<section class="more">'), "the summary is first"
    assert not re.search(r"https?://|<script|src=(?!\"data:image/jpeg;base64,)|@import|url\(", page)
    assert page.count("<svg") >= 2
    assert "8.500 mm (0.3346 in)" in page, "8.5 / 25.4"
    assert "80.0 m/min (262 ft/min)" in page, "80 / 0.3048"
    assert "Invented demonstration data" in page
    assert "CHF" in page
    assert "Run 2 was stopped early" in page


def test_what_is_removed_is_not_in_it(shop: Path) -> None:
    with Workbench.open(shop) as bench:
        page = bench.report(NAME, remove=["prices", "names", "machines"])
    for text in ("CHF", "bracket", "pin hole", "mill 2", "ask before", "heat 7"):
        assert text not in page
    assert "Prices and rates were left out" in page


def test_a_trial_without_runs_says_what_is_not_known(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial("<b>new</b> & old"))
        page = bench.report("<b>new</b> & old")
        assert "No recommendation yet" in page
        assert "&lt;b&gt;new&lt;/b&gt; &amp; old" in page
        assert "<b>new" not in page
        bench.plan_run("<b>new</b> & old", START)
        assert "Run 1 has not ended" in bench.report("<b>new</b> & old")


def test_photos_stand_in_it_as_pictures_alone(tmp_path: Path) -> None:
    fill_shop(tmp_path / "shop", tmp_path)
    with Workbench.open(tmp_path / "shop") as bench:
        whole = bench.report(NAME)
        bare = bench.report(NAME, remove=["photos"])
    (picture,) = re.findall(r'src="data:image/jpeg;base64,([^"]+)"', whole)
    data = base64.b64decode(picture)
    assert data.startswith(b"\xff\xd8")
    assert b"SECRET" not in data
    assert b"Exif" not in data
    assert "Run 1 after 5 holes. The picture is 3.200 mm (0.1260 in) wide." in whole
    assert "<img" not in bare
    assert "photos" in bare, "it says that they were left out"
