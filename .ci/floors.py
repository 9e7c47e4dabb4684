"""Print every floor of pyproject.toml as an exact version, for pip's --constraint."""

import re
import tomllib
from pathlib import Path

project = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]
for asked in project["dependencies"] + project["optional-dependencies"]["test"]:
    name, floor = re.fullmatch(r"([\w.-]+)(?:\[.*\])?>=([\w.]+)", asked).groups()
    print(f"{name}=={floor}")  # noqa: T201
