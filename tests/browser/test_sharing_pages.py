"""Pass a trial on and take things in, as a person does it; the report as it lies on a disk."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from dashboard import links
from dashboard.texts import share as share_texts
from dashboard.texts import take_in as texts
from tests.browser.conftest import Watched
from tests.helpers.example_trial import START
from tests.helpers.shared_trial import NAME, fill_shop
from trials.model import CuttingData
from trials.sharing import Proposal, Remark, answer_package, pdf_of
from trials.workbench import Workbench

# As a spreadsheet program writes it: semicolons, decimal commas, a byte order mark.
SHEET = """\
Bohrer;Schnittgeschwindigkeit [m/min];f [mm/U];Stückzahl;VB max [mm];Ende
plain;80,5;0,18;240;0,31;verschlissen
coated;95;0,2;1.200;0,12;gestoppt
"""


def upload(page: Any, name: str, data: bytes) -> None:
    page.locator("#in-file input[type=file]").set_input_files(
        [{"name": name, "mimeType": "application/octet-stream", "buffer": data}]
    )


def test_a_sheet_comes_in_with_one_choice_and_goes_out_again(
    look: Callable[..., Watched], bench: Workbench, tmp_path: Path
) -> None:
    fill_shop(bench.folder, tmp_path)
    page = look(390, 844).go(links.take_in())
    upload(page, "earlier.csv", SHEET.encode("utf-8-sig"))
    expect(page.locator("#in-rows")).to_contain_text("no column was found for the number of holes")
    expect(page.locator("#in-runs")).to_be_disabled()
    page.locator(".take-in tbody tr").filter(has_text="Stückzahl").get_by_role("button").click()
    page.get_by_role("option", name="holes drilled").click()
    expect(page.locator("#in-rows")).to_contain_text("New runs: 2. Here already: 0. Refused: 0.")
    expect(page.locator("#in-rows")).to_contain_text("1,200")
    assert len(bench.runs(NAME)) == 3, "nothing is stored before the button"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.locator("#in-runs").click()
    expect(page.locator("#in-done")).to_contain_text(texts.STORED_RUNS.format(count=2))
    assert [run.holes for run in bench.runs(NAME)][3:] == [240, 1200]
    page.goto(page.url.replace(links.take_in(), links.share(NAME)))
    page.get_by_role("button", name=share_texts.UNDO).click()
    expect(page.locator("#share-came")).to_contain_text("earlier.csv was taken out again")
    assert len(bench.runs(NAME)) == 3


def test_both_sides_are_chosen_and_a_proposal_becomes_a_run(
    look: Callable[..., Watched], bench: Workbench, tmp_path: Path
) -> None:
    fill_shop(bench.folder, tmp_path)
    bench.export(NAME, tmp_path / "a.zip")
    with Workbench.open(tmp_path / "other") as other:
        other.import_package(tmp_path / "a.zip")
        other.end_run(NAME, 3, "chipped", holes=7)
        other._shop.store.change_trial(NAME, lambda one: replace(one, load_limit_pct=75.0))
        other.export(NAME, tmp_path / "b.zip")
    answer_package(
        tmp_path / "b.zip", tmp_path / "c.zip", made_by="Kim",
        remarks=[Remark("<b>burnt</b>", 1)], proposals=[Proposal("coated", CuttingData(70.0, 0.2))],
    )  # fmt: skip
    page = look().go(links.take_in())
    upload(page, "c.zip", (tmp_path / "c.zip").read_bytes())
    row = page.locator("tbody tr").filter(has_text="run 3, end")
    expect(row).to_contain_text("chipped, 7 holes")
    expect(page.locator("#in-found")).to_contain_text("<b>burnt</b>")
    page.locator("#in-package").click()
    expect(page.locator("#in-done")).to_contain_text("were not chosen")
    assert bench.run(NAME, 3).state == "planned"
    page.locator("#in-all-mine").click()
    row.get_by_label(texts.THEIRS, exact=True).check()
    page.locator("#in-package").click()
    expect(page.locator("#in-done")).to_contain_text("c.zip is taken in")
    assert bench.run(NAME, 3).end == "chipped"
    assert bench.trial(NAME).load_limit_pct == 80.0

    page.goto(page.url.replace(links.take_in(), links.share(NAME)))
    page.wait_for_load_state("networkidle")  # on a busy machine an earlier click is lost
    page.get_by_role("button", name=share_texts.USE).click()
    expect(page.locator("#share-answers")).to_contain_text(share_texts.USED.format(number=4))
    assert bench.run(NAME, 4).origin == "proposal"


def test_what_is_left_out_is_seen_before_it_is_sent(
    look: Callable[..., Watched], bench: Workbench, tmp_path: Path
) -> None:
    fill_shop(bench.folder, tmp_path)
    page = look(1024, 768).go(links.share(NAME))
    expect(page.locator("#share-gone")).to_contain_text(share_texts.GONE_NOTHING)
    page.get_by_label(share_texts.LEAVE_CHOICES["prices"]).check()
    page.get_by_label(share_texts.LEAVE_CHOICES["photos"]).check()
    expect(page.locator("#share-gone")).to_contain_text("What is left out")
    page.locator("#share-show").click()
    seen = page.frame_locator("iframe.seen")
    expect(seen.locator("h1")).to_contain_text("which drill, how fast, how long?")
    assert "CHF" not in seen.locator("body").inner_text()
    with page.expect_download() as coming:
        page.locator("#share-package").click()
    data = Path(coming.value.path()).read_bytes()
    assert b"CHF" not in data
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert not [name for name in package.namelist() if name.startswith("photos")]


@pytest.mark.parametrize("width", [1440, 390])
def test_the_report_stands_alone_without_any_connection(
    chromium: Browser, bench: Workbench, tmp_path: Path, width: int
) -> None:
    fill_shop(bench.folder, tmp_path)
    bench.plan_run(NAME, START)
    path = tmp_path / "report.html"
    path.write_text(bench.report(NAME), encoding="utf-8")
    context = chromium.new_context(viewport={"width": width, "height": 844}, offline=True)
    page = context.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.goto(path.as_uri())
    assert [one for one in asked if not one.startswith(("data:", path.as_uri()))] == []
    assert said == []
    assert page.evaluate("[...document.images].every(one => one.naturalWidth > 0)")
    assert page.evaluate("document.images.length") == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()


@pytest.mark.parametrize(("paper", "box"), [("A4", (595, 842)), ("Letter", (612, 792))])
@pytest.mark.usefixtures("chromium")
def test_the_report_becomes_a_pdf(
    bench: Workbench, tmp_path: Path, paper: Any, box: tuple[int, int]
) -> None:
    """Sizes: ISO 216 A4 is 210 mm × 297 mm, Letter 8.5 in × 11 in; a point is 1/72 in."""
    import re

    fill_shop(bench.folder, tmp_path)
    data = pdf_of(bench.report(NAME), paper)
    assert data.startswith(b"%PDF-")
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", data)
    assert len(boxes) >= 2, "the summary has a page of its own"
    assert all((round(float(wide)), round(float(high))) == box for wide, high in boxes), boxes
