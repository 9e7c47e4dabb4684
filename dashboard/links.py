"""Addresses of the pages. Names that people wrote are quoted, whatever is in them."""

from __future__ import annotations

from urllib.parse import quote, unquote

HOME = "/"
HOLES = "holes"
START = "start"
WEAR = "wear"
LOOK = "look"
SETTINGS = "settings"
HEALTH = "health"
HISTORY = "history"
SHARE = "share"
TAKE_IN = "take-in"


def trial(name: str) -> str:
    """Address of a trial's own page."""
    return f"/trial/{_segment(name)}"


def start() -> str:
    """Address of the guided page that begins a trial."""
    return f"/{START}"


def settings() -> str:
    """Address of the page of the shop's settings and data."""
    return f"/{SETTINGS}"


def take_in() -> str:
    """Address of the page that takes in packages and sheets of runs."""
    return f"/{TAKE_IN}"


def share(name: str) -> str:
    """Address of the page that passes a trial on, and shows what came back."""
    return f"/{SHARE}/{_segment(name)}"


def health() -> str:
    """Address of the page that shows how the loggers do."""
    return f"/{HEALTH}"


def history() -> str:
    """Address of the page of questions over all trials."""
    return f"/{HISTORY}"


def live(name: str) -> str:
    """Address of the page beside the machine."""
    return f"/live/{_segment(name)}"


def progress(name: str) -> str:
    """Address of the page that shows how the search goes on."""
    return f"/progress/{_segment(name)}"


def holes(name: str, run: int | None = None) -> str:
    """Address of the page that shows the holes of a run; without one, of the newest recorded."""
    return f"/{HOLES}/{_segment(name)}" + ("" if run is None else f"/{run}")


def wear(name: str, run: int | None = None) -> str:
    """Address of the page of wear and lives; without a run, of the newest that was looked at."""
    return f"/{WEAR}/{_segment(name)}" + ("" if run is None else f"/{run}")


def hand_over(name: str) -> str:
    """Address of what production is given."""
    return f"/hand-over/{_segment(name)}"


def look(name: str, run: int | None = None) -> str:
    """Address of the page at the drill: readings, photos, end; without a run, the open one."""
    return f"/{LOOK}/{_segment(name)}" + ("" if run is None else f"/{run}")


def photo(key: object) -> str:
    """Address of a photo's picture."""
    return f"/photo/{key}"


def run_of(path: str | None) -> int | None:
    """Number of the run in an address of `holes`, `wear` or `look`; None when it names none."""
    parts = [part for part in (path or "/").split("/") if part]
    return int(parts[2]) if _names_run(parts) else None


def compare(name: str) -> str:
    """Address of the page that compares the trial's drills."""
    return f"/compare/{_segment(name)}"


def read(path: str | None) -> tuple[str, str]:
    """Split an address into page and trial name: ``/live/a%20b`` → ``("live", "a b")``.

    The first is empty for the list of trials, the second for the page that begins one; an address
    with more or other parts gives the page
    ``"?"``, which no page carries.
    """
    parts = [part for part in (path or "/").split("/") if part]
    if not parts:
        return "", ""
    if len(parts) == 1 and parts[0] in (START, SETTINGS, HEALTH, TAKE_IN, HISTORY):
        return parts[0], ""
    if len(parts) != 2 and not _names_run(parts):
        return "?", ""
    name = unquote(parts[1])
    return parts[0], name[1:] if name.startswith("~") else name


def _names_run(parts: list[str]) -> bool:
    number = parts[2] if len(parts) == 3 and parts[0] in (HOLES, WEAR, LOOK) else ""
    return number.isascii() and number.isdigit() and len(number) <= 9 and int(number) >= 1


def _segment(name: str) -> str:
    # Browsers read "." and "..", even when quoted, as steps in the path: such names, and names
    # that begin with the mark itself, carry a mark in front.
    marked = f"~{name}" if not name.strip(".") or name.startswith("~") else name
    return quote(marked, safe="")
