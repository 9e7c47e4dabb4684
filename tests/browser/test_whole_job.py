"""The whole job as a new user does it on the screens: from an empty folder to the hand-over.

Only the recording is started as the screens say it, by a command; machine, logger and dashboard
are processes of their own. On no page may anything go wrong, or anything be asked of the outside.
"""

from __future__ import annotations

import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from dashboard import ids, links, texts
from dashboard.texts import hand_over as hand_texts
from dashboard.texts import live_next as next_texts
from dashboard.texts import look as look_texts
from dashboard.texts import start as start_texts
from tests.browser.conftest import Watched
from tests.helpers.pictures import picture
from trials.model import WearReading
from trials.simulator import Command, Job, SimulatorProcess, Watch
from trials.workbench import Workbench

NAME = "first bracket"
HOLE = {"name": NAME, "work.material": "S355", "hole.diameter_mm": "8,5", "hole.depth_mm": "25",
        "hole.tolerance": "H9", "holes_to_make": "8000"}  # fmt: skip
MACHINE = {"machine.rated_power_kw": "11", "machine.base_rpm": "1500", "machine.max_rpm": "8000",
           "economics.machine_rate_per_min": "1,2"}  # fmt: skip
DRILL = {"drills.0.name": "short", "drills.0.flute_length_mm": "75", "drills.0.price": "60"}
HOLES = 6
WAIT_MS = 60_000


def fill(page: Page, values: dict[str, str]) -> None:
    for name, text in values.items():
        page.locator(f'[id*=\'"name":"{name}"\'][id*="start-field"]').fill(text)


def begin_a_trial(page: Page) -> None:
    page.get_by_role("link", name=start_texts.TITLE).click()
    for step, values in enumerate((HOLE, MACHINE, DRILL), 1):
        expect(page.get_by_text(f"Step {step} of 4").first).to_be_visible(timeout=WAIT_MS)
        fill(page, values)
        page.get_by_role("button", name=start_texts.NEXT, exact=True).click()
    begin = page.get_by_role("button", name=start_texts.BEGIN)
    begin.click(timeout=WAIT_MS)
    page.get_by_role("link", name=start_texts.BEGUN_OPEN).click(timeout=WAIT_MS)
    expect(page.locator("h1")).to_have_text(NAME)


def use_the_suggestion(page: Page, number: int) -> str:
    """Accept it; the line that the page says to type for the recording."""
    page.get_by_role("button", name=texts.USE_THIS).click(timeout=WAIT_MS)
    planned = page.get_by_text(texts.PLANNED_TITLE.format(number=number))
    expect(planned).to_be_visible(timeout=WAIT_MS)
    return page.locator(".command", has_text=f"--run {number}").inner_text()


def drill_test_holes(page: Page, bench: Workbench, number: int, line: str) -> None:
    """Type the line while an invented machine drills; watch it on the page beside the machine."""
    trial, run = bench.trial(NAME), bench.run(NAME, number)
    job = Job(trial.machine, trial.work, trial.hole, trial.drill(run.drill), run.cutting_data)
    page.get_by_role("link", name=texts.OPEN_LIVE).click()
    expect(page.get_by_text(texts.LIVE_EMPTY_TITLE)).to_be_visible()
    command = Command(job, Watch(holes=HOLES), seed=number, speed_up=8.0)
    with SimulatorProcess(command) as machine:
        typed = shlex.split(line.replace("tcp://machine:7878", machine.address))
        assert typed[0] == "holewise"
        logger = subprocess.Popen(
            [sys.executable, "-m", "trials.cli.app", "--data", str(bench.folder), *typed[1:],
             "--no-reconnect", "--no-sound"],
            stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            expect(page.locator(".load .digits")).to_be_visible(timeout=WAIT_MS)
            expect(page.locator(".state.ended")).to_be_visible(timeout=WAIT_MS)
            assert logger.wait(60) in (0, 3)  # 3: an alarm stood at the end
        finally:
            logger.kill()
            logger.wait()
    expect(page.locator(".facts .holes .value")).to_have_text(str(HOLES))
    page.locator(".todo").get_by_role("link", name=next_texts.GO_LOOK).click()
    expect(page.get_by_text(look_texts.READ)).to_be_visible()


def enter_wear(page: Page, value: str) -> None:
    """With the large keys, as with gloves."""
    page.get_by_label("VB average, mm").click()
    for key in value:
        page.locator(f'.key-button[data-key="{key}"]').click()
    expect(page.get_by_label("VB average, mm")).to_have_value(value)


def measure_on_a_photo(page: Page, photo: Path) -> None:
    """Half of the invented picture is dark: 8.5 mm over all, so half of it is 4.25 mm."""
    page.locator(f"#{ids.LOOK_FILE} input[type=file]").set_input_files(photo)
    expect(page.locator(f"#{ids.LOOK_PHOTO_SAID}")).to_contain_text("Photo kept", timeout=WAIT_MS)
    image = page.locator(".stage-picture img")
    image.scroll_into_view_if_needed()
    expect(image).to_have_js_property("complete", True)

    def tap(x: float, y: float) -> None:
        box = page.locator(".stage-picture").bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + x * box["width"], box["y"] + y * box["height"])

    page.get_by_role("button", name=look_texts.STEP_SCALE).click()
    tap(0.1, 0.3)
    tap(0.9, 0.3)
    measured = page.locator(f"#{ids.LOOK_MEASURED}")
    expect(measured).to_contain_text("Scale kept", timeout=WAIT_MS)
    page.get_by_role("button", name=look_texts.STEP_MEASURE).click()
    tap(0.1, 0.3)
    tap(0.5, 0.3)
    expect(measured.locator(".length")).to_be_visible(timeout=WAIT_MS)
    length = float(measured.locator(".length").inner_text().split()[0])
    assert 4.1 < length < 4.4  # by hand 4.25, and a tap is a pixel of the screen wide
    # The end can be moved by keyboard, too: one pixel of 320 is 8.5 / 256 mm.
    page.locator('[data-handle="measure-1"]').focus()
    for _ in range(10):
        page.keyboard.press("ArrowLeft")
    expect(measured.locator(".length")).not_to_have_text(f"{length:.3f} mm", timeout=WAIT_MS)
    shorter = float(measured.locator(".length").inner_text().split()[0])
    assert 0.25 < length - shorter < 0.4
    page.locator(f"#{ids.LOOK_TAKE_OVER_BOX}").get_by_role("button", name="VB maximum").click()
    expect(page.get_by_label("VB maximum, mm")).to_have_value(f"{shorter:.3f} mm")


def end_the_run(page: Page, number: int, word: str) -> None:
    page.locator(".end-button", has_text=word).first.click()
    page.get_by_role("button", name=look_texts.END_DO.format(number=number)).click()
    ended = page.get_by_role("heading", name=f"Run {number} has ended")
    expect(ended).to_be_visible(timeout=WAIT_MS)


def test_from_an_empty_folder_to_the_hand_over(
    look: Callable[..., Watched], bench: Workbench, tmp_path: Path
) -> None:
    photo = tmp_path / "edge.jpg"
    photo.write_bytes(picture())
    page = look(1024, 768).go("/")
    expect(page.get_by_text(texts.TRIALS_EMPTY_TITLE)).to_be_visible()
    begin_a_trial(page)
    line = use_the_suggestion(page, 1)
    drill_test_holes(page, bench, 1, line)

    enter_wear(page, "0.2")
    measure_on_a_photo(page, photo)
    page.get_by_label("VB maximum, mm").fill("0,25")
    page.get_by_role("button", name=look_texts.KEEP).click()
    expect(page.locator(f"#{ids.LOOK_SAID}")).to_contain_text("VB maximum 0.250 mm")
    (reading,) = bench.run(NAME, 1).wear
    assert (reading.hole, reading.vb_average_mm, reading.vb_maximum_mm) == (HOLES, 0.2, 0.25)
    (kept,) = bench.photos(NAME, 1)
    assert kept.mm_per_pixel is not None
    # Mistyped: taken back, and put back.
    page.get_by_role("button", name=look_texts.TAKE_BACK_SAID.format(hole=HOLES)).click()
    page.get_by_role("button", name=look_texts.PUT_BACK_SAID.format(hole=HOLES)).click()
    expect(page.locator(f"#{ids.LOOK_SAID}")).to_contain_text("stands again")
    end_the_run(page, 1, look_texts.END_WORDS["worn"])
    page.get_by_role("button", name=look_texts.ENDED_UNDO).click()
    expect(page.get_by_text(look_texts.ENDED_UNDONE.format(number=1))).to_be_visible()
    end_the_run(page, 1, look_texts.END_WORDS["worn"])

    page.get_by_role("link", name=look_texts.ENDED_NEXT).click()
    line = use_the_suggestion(page, 2)
    assert bench.run(NAME, 2).origin == "suggestion"
    drill_test_holes(page, bench, 2, line)
    enter_wear(page, "0.05")
    # A colleague was faster: told, nothing of either is lost, and a second press keeps it.
    bench.add_wear(NAME, 2, WearReading(3, vb_average_mm=0.02))
    page.get_by_role("button", name=look_texts.KEEP).click()
    expect(page.get_by_role("alert")).to_contain_text(look_texts.AGAIN, timeout=WAIT_MS)
    expect(page.get_by_label("VB average, mm")).to_have_value("0.05")
    expect(page.locator(f"#{ids.LOOK_STANDS}")).to_contain_text("VB average 0.020 mm")
    page.get_by_role("button", name=look_texts.KEEP).click()
    expect(page.locator(f"#{ids.LOOK_SAID}")).to_contain_text("VB average 0.050 mm")
    end_the_run(page, 2, look_texts.END_WORDS["stopped"])
    assert [(run.end, run.holes) for run in bench.runs(NAME)] == [
        ("worn", HOLES), ("stopped", HOLES),
    ]  # fmt: skip

    ways = page.locator(".ways")
    ways.get_by_role("link", name=texts.TRIAL_HOLES).click()
    expect(page.locator(f"#{ids.HOLES_FIGURE}")).to_be_visible(timeout=WAIT_MS)
    ways.get_by_role("link", name=texts.TRIAL_PROGRESS).click()
    expect(page.locator("figcaption").first).to_contain_text("The cheapest so far is run 1")
    ways.get_by_role("link", name=texts.TRIAL_COMPARE).click()
    expect(page.locator(f"#{ids.COMPARISON}")).to_be_visible(timeout=WAIT_MS)
    ways.get_by_role("link", name=hand_texts.NAV).click()
    sheet = page.locator(".sheet")
    expect(sheet).to_contain_text(hand_texts.CHANGE, timeout=WAIT_MS)
    expect(sheet).to_contain_text("Only 1 edge of short came to the end")
    assert page.pdf(format="A4").count(b"/Type /Page\n") == 1
    with page.expect_download() as text:
        page.get_by_role("button", name=hand_texts.FILE).click()
    assert Path(text.value.path()).read_text("utf-8").startswith(f"# {NAME}: hand-over")
    assert links.read(links.hand_over(NAME)) == ("hand-over", NAME)
