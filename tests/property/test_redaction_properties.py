"""What is removed is in no byte of the package, whatever was written in whichever field."""

from __future__ import annotations

import tempfile
import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.helpers.example_trial import example_trial
from trials.model import Overrule
from trials.model.plain import to_plain
from trials.sharing import (
    REMOVALS,
    ContentTable,
    PackageContent,
    Removal,
    preview,
    removals,
    verify_package,
    without,
    write_package,
)
from trials.sharing.package_format import TABLES
from trials.sharing.redaction import _IN_ROWS, _STAYS_IN_ROWS

# Texts that people write: letters of many scripts, quotes, signs that a spreadsheet runs, and an
# ending that cannot stand in a package by chance.
TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cn")), min_size=1, max_size=20).map(
    lambda text: text.strip() + "Qz7#"
)
TABLE_NAMES: tuple[ContentTable, ...] = tuple(table for table in TABLES if table != "drills")


def value_of(kind: str, text: str, number: int) -> Any:
    return {
        "text": text, "number": 1.0 + number, "whole": 1 + number, "yes_no": True,
        "json": {"field": text}, "uuid": uuid.UUID(int=number),
        "time": datetime(2019, 8, 7, 6, 5, 4, 3211, tzinfo=UTC) + timedelta(days=number),
    }[kind]  # fmt: skip


@st.composite
def contents(draw: Any) -> tuple[PackageContent, dict[Removal, set[str]], set[str]]:
    """A package with a different text in every field; texts by what they tell; texts that stay."""
    count = 0

    def text() -> str:
        nonlocal count
        count += 1
        return f"{draw(TEXTS)}{count}x"

    told: dict[Removal, set[str]] = {name: set() for name in get_args(Removal)}
    stays: set[str] = set()
    rows: dict[str, list[dict[str, Any]]] = {}
    for table in TABLE_NAMES:
        row = {}
        for number, column in enumerate(TABLES[table]):
            if (table, column.name) in _STAYS_IN_ROWS and column.kind == "json":
                row[column.name] = []
                continue
            written = text()
            row[column.name] = value_of(column.kind, written, number)
            if column.kind not in ("text", "json"):
                continue
            if table == "photos":
                told["photos"].add(written)  # all that is said of them goes with the photos
            if (table, column.name) in _STAYS_IN_ROWS:
                if table != "photos":
                    stays.add(written)
            else:
                for why in _IN_ROWS.get((table, column.name), ("notes",)):
                    told[why].add(written)
        rows[table] = [row]
    names = {key: text() for key in ("trial", "hole", "machine", "by", "why", "note")}
    trial = example_trial(names["trial"], note=names["note"])
    plain = to_plain(trial)
    plain["hole"]["name"], plain["machine"]["name"] = names["hole"], names["machine"]
    plain["overruled"] = [to_plain(Overrule("plain", "depth", names["why"], names["by"]))]
    told["names"] |= {names["trial"], names["hole"]}
    told["machines"].add(names["machine"])
    told["people"].add(names["by"])
    told["notes"] |= {names["why"], names["note"]}
    content = PackageContent(
        uuid.UUID(int=99), datetime(2019, 8, 6, tzinfo=UTC), plain, lambda table: rows[table], ()
    )
    return content, told, stays


def bytes_of(content: PackageContent) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "package.zip"
        write_package(path, content)
        return path.read_bytes()


def shapes(text: str) -> list[bytes]:
    """How a text can stand in a file: as it is, doubled quotes in CSV, escaped in JSON, both."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    found = {text, text.replace('"', '""'), escaped, escaped.replace('"', '""')}
    return [one.encode() for one in found]


@settings(deadline=None, max_examples=60)
@given(contents(), st.sets(st.sampled_from(sorted(REMOVALS)), min_size=1))
def test_what_is_removed_is_in_no_byte(found: Any, names: set[str]) -> None:
    content, told, stays = found
    chosen = removals(sorted(names))
    whole, left = bytes_of(content), bytes_of(without(content, chosen))
    for kind, texts in told.items():
        for text in texts:
            assert any(shape in whole for shape in shapes(text)), "the search itself finds texts"
            if kind in chosen:
                assert not any(shape in left for shape in shapes(text)), (kind, text)
    for text in stays:
        assert any(shape in left for shape in shapes(text))
    assert (b"2019-08" in left) == ("times" not in chosen)
    assert (b"CHF" in left) == ("prices" not in chosen)


@pytest.mark.parametrize("removal", sorted(REMOVALS))
def test_the_preview_names_what_goes(removal: str) -> None:
    rows: dict[str, list[dict[str, Any]]] = {
        table: [{c.name: value_of(c.kind, "text", n) for n, c in enumerate(TABLES[table])}]
        for table in TABLE_NAMES
    }
    content = PackageContent(
        uuid.UUID(int=9), datetime(2019, 8, 6, tzinfo=UTC), to_plain(example_trial()),
        lambda table: rows[table], (),
    )  # fmt: skip
    shown = preview(content, removals([removal]))
    assert {line.removal for line in shown} <= set(removals([removal]))
    assert shown
    if removal == "prices":
        assert ("drills.csv", "drills.price") in {(line.file, line.field) for line in shown}


def test_a_removed_name_goes_also_where_it_stands_in_a_text_that_stays(tmp_path: Path) -> None:
    trial = to_plain(example_trial("Nordwerk"))
    trial["drills"][0]["name"] = "plain for nordwerk, long"
    rows: dict[str, list[dict[str, Any]]] = {table: [] for table in TABLE_NAMES}
    content = PackageContent(uuid.UUID(int=9), None, trial, lambda table: rows[table], ())
    write_package(tmp_path / "p.zip", without(content, removals(["names"])))
    assert b"ordwerk" not in (tmp_path / "p.zip").read_bytes()
    found = verify_package(tmp_path / "p.zip")
    assert found.plain["drills"][0]["name"] == "plain for removed, long"
    assert found.removed == ("names", "notes")
