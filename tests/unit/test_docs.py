"""Documents cannot drift: commands are in the reference, links lead somewhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trials.cli.reference import reference

ROOT = Path(__file__).resolve().parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]


def test_the_command_reference_is_what_the_program_says() -> None:
    written = (ROOT / "docs/reference/commands.md").read_text(encoding="utf-8")
    assert written == reference(), "python -m trials.cli.reference > docs/reference/commands.md"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+?)(?:#[^)]*)?\)", text):
        if "://" not in target:
            assert (page.parent / target).exists(), f"{page.name} links to {target}"


def test_readme_has_its_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for number in (1, 2):
        assert re.search(rf"<!-- command {number} -->\n```sh\npython3 .+\n```", text)


def test_every_decision_is_listed() -> None:
    index = (ROOT / "docs/decisions/README.md").read_text(encoding="utf-8")
    for page in (ROOT / "docs/decisions").glob("0*.md"):
        assert f"]({page.name})" in index
