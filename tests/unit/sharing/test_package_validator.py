"""Packages pass the validator of the standard, whole and with everything left out.

It is a program of its own (``pip install frictionless``, part of the extra ``dev``).
"""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.helpers.shared_trial import NAME, fill_shop
from trials.sharing import REMOVALS
from trials.workbench import Workbench


@pytest.mark.skipif(
    importlib.util.find_spec("frictionless") is None,
    reason="the validator is not installed: pip install --editable '.[dev]'",
)
@pytest.mark.parametrize("remove", [(), tuple(REMOVALS)], ids=["whole", "all removed"])
def test_the_validator_passes_it(tmp_path: Path, remove: tuple[str, ...]) -> None:
    fill_shop(tmp_path / "shop", tmp_path)
    with Workbench.open(tmp_path / "shop") as bench:
        bench.export(NAME, tmp_path / "p.zip", licence="CC-BY-4.0", remove=remove)
    done = subprocess.run(
        [sys.executable, "-m", "frictionless", "validate", "p.zip", "--json"],
        cwd=tmp_path, capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    found = json.loads(done.stdout)
    assert found["valid"], [task["errors"][:3] for task in found["tasks"] if not task["valid"]]
    assert len(found["tasks"]) >= 10
