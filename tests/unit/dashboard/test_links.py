"""Addresses: whatever a trial is called, its address leads back to it and nowhere else."""

from __future__ import annotations

from urllib.parse import urljoin, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard import links

ANY_NAME = st.text(
    st.characters(exclude_categories=["Cs"]), min_size=1, max_size=100
).filter(lambda name: bool(name.strip()))  # fmt: skip


@given(ANY_NAME)
def test_every_name_comes_back(name: str) -> None:
    for page, address in (
        ("trial", links.trial(name)),
        ("live", links.live(name)),
        ("progress", links.progress(name)),
        ("holes", links.holes(name)),
        ("holes", links.holes(name, 12)),
        ("wear", links.wear(name, 12)),
    ):
        assert links.read(address) == (page, name)
    assert links.run_of(links.holes(name, 12)) == 12
    assert links.run_of(links.holes(name)) is None


@pytest.mark.parametrize("name", [".", "..", "...", "a/b", "a\\b", "//evil.example", "?x#y", "%2F"])
def test_a_name_never_steps_out_of_its_page(name: str) -> None:
    address = urljoin("http://here/", links.trial(name))
    assert urlsplit(address).netloc == "here"
    assert urlsplit(address).path.startswith("/trial/")
    assert links.read(urlsplit(address).path) == ("trial", name)


@pytest.mark.parametrize("path", ["/", "", None])
def test_home(path: str | None) -> None:
    assert links.read(path) == ("", "")


@pytest.mark.parametrize(
    "path",
    [
        "/trial", "/trial/a/b", "/live/a/b/c", "/holes/a/0", "/holes/a/x", "/holes/a/٣",
        "/holes/a/1/2",
    ],
)  # fmt: skip
def test_addresses_with_other_parts_lead_nowhere(path: str) -> None:
    assert links.read(path) == ("?", "")
