"""The reliability table in its quick form; the full one: ``python -m tests.faults.full``."""

from __future__ import annotations

import os

import pytest

from tests.faults.full import PARTS

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs pseudo-terminals and fork")


@pytest.mark.parametrize("part", PARTS)
def test_every_row_that_asserts_something_holds(part: str) -> None:
    quick, _ = PARTS[part]
    rows = quick()
    assert rows
    for row in rows:
        assert row.held is not False, str(row)
