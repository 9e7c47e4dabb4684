"""What a page of the dashboard says: its words and the ids of its parts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from dash.development.base_component import Component


def parts_of(component: Any) -> Iterator[Any]:
    """Every component and text below one."""
    if isinstance(component, list | tuple):
        for part in component:
            yield from parts_of(part)
    elif component is not None:
        yield component
        if isinstance(component, Component):
            yield from parts_of(getattr(component, "children", None))


def words(component: Any) -> str:
    """All text of a component, with plain spaces."""
    said = [part for part in parts_of(component) if isinstance(part, str)]
    return " ".join(" ".join(said).replace("\u00a0", " ").split())


def idents(component: Any) -> list[Any]:
    return [getattr(part, "id", None) for part in parts_of(component)]
