"""A report as PDF, made by a browser of this computer, which lays pages out as it shows them.

Nothing is fetched: the page holds all that it needs, and forbids everything else. Without a browser
the page itself prints to PDF from any other computer's.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Literal, get_args

from trials.errors import HolewiseError, require

Paper = Literal["A4", "Letter"]
VARIABLE = "HOLEWISE_CHROMIUM"
_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome",
          "microsoft-edge", "msedge")  # fmt: skip
_PLACES = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
    "C:/Program Files/Microsoft/Edge/Application/msedge.exe",
)
_LONGEST_S = 120
_ANY_PAPER = "@page { size: auto;"


def find_browser() -> str | None:
    """A browser that can write PDF: the one that is named, else one that is installed."""
    named = os.environ.get(VARIABLE)
    if named:
        return named
    return next(filter(None, map(shutil.which, _NAMES)), None) or next(
        (place for place in _PLACES if Path(place).exists()), None
    )


def pdf_of(page: str, paper: Paper = "A4") -> bytes:
    """A page of ours as PDF.

    Args:
        page: HTML that needs nothing from outside.
        paper: size of the sheets.

    Raises:
        HolewiseError: there is no browser, or it did not write one; says what to do.
    """
    require(paper in get_args(Paper), "paper", paper, "A4 or Letter")
    browser = find_browser()
    if browser is None:
        raise HolewiseError(
            "PDF: no browser was found that could write it",
            do=f"Install Chromium, or name one in {VARIABLE}; or open the report (HTML) in any "
            "browser and print it to a PDF from there.",
        )
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "report.html", Path(folder) / "report.pdf"
        source.write_text(page.replace(_ANY_PAPER, f"@page {{ size: {paper};"), encoding="utf-8")
        command = [
            browser, "--headless", "--disable-gpu", "--disable-background-networking",
            "--disable-component-update", "--disable-sync", "--no-first-run",
            "--no-default-browser-check", "--disable-extensions", "--no-pdf-header-footer",
            f"--user-data-dir={Path(folder) / 'profile'}", f"--print-to-pdf={target}",
            *_without_sandbox(), source.as_uri(),
        ]  # fmt: skip
        try:
            done = subprocess.run(  # noqa: S603 - a fixed command, on a file of our own
                command, capture_output=True, text=True, errors="replace", timeout=_LONGEST_S,
                check=False,
            )  # fmt: skip
        except (OSError, subprocess.TimeoutExpired) as error:
            raise _failed(browser, str(error)) from error
        if not target.exists():
            raise _failed(browser, (done.stderr.strip().splitlines() or ["nothing"])[-1])
        return target.read_bytes()


def _without_sandbox() -> list[str]:
    """The sandbox of the browser does not work for the administrator of a Linux system."""
    return ["--no-sandbox"] if sys.platform == "linux" and os.geteuid() == 0 else []


def _failed(browser: str, said: str) -> HolewiseError:
    return HolewiseError(
        f"PDF: {browser} did not write it", got=said,
        do=f"Name another browser in {VARIABLE}, or open the report (HTML) in any browser and "
        "print it to a PDF from there.",
    )  # fmt: skip
