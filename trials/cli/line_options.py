"""Options that say how lines are read; shared by ``log``, ``import`` and ``journal``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from trials.logger import LineFormat, Mapping
    from trials.workbench import Workbench

MapText = Annotated[
    str | None,
    typer.Option(
        "--map",
        help="Which field is what, in which unit: load=S1load,unit=%,time=t,time_unit=ms,rpm=n. "
        "Load units %, ratio, kW, A, N*m (the last three with reference=…, the value of 100 %).",
    ),
]
FormatText = Annotated[
    str | None, typer.Option("--format", help="How lines are written: key=value, csv or shdr.")
]
Delimiter = Annotated[str | None, typer.Option(help="For csv: comma, semicolon, tab, | or space.")]
Decimal = Annotated[str | None, typer.Option(help="For csv and key=value: decimal mark, . or ,")]
Encoding = Annotated[str | None, typer.Option(help="utf-8, utf-16-le, utf-16-be or latin-1.")]
ProfileName = Annotated[
    str | None,
    typer.Option(
        "--profile", help="How the machine talks: a profile of this shop, or the path of one."
    ),
]


def line_format_from(
    kind: str | None, delimiter: str | None, decimal: str | None, encoding: str | None
) -> LineFormat | None:
    """The line format that options ask for; None when they ask for nothing."""
    from trials.logger import LineFormat

    options: dict[str, Any] = {
        name: value
        for name, value in
        (("delimiter", delimiter), ("decimal", decimal), ("encoding", encoding))
        if value is not None
    }  # fmt: skip
    if kind is None and not options:
        return None
    return LineFormat.parse(kind or "csv", **options)


def mapping_from(text: str | None) -> Mapping | None:
    """The mapping that ``--map`` asks for."""
    from trials.logger import Mapping

    return None if text is None else Mapping.parse(text)


def with_profile(
    bench: Workbench,
    name: str | None,
    source: str | None,
    line_format: LineFormat | None,
    mapping: Mapping | None,
) -> tuple[str | None, LineFormat | None, Mapping | None]:
    """Source, line format and mapping; what was given goes before what the profile says."""
    if name is None:
        return source, line_format, mapping
    found = bench.profile(name)
    return (
        source or found.source or None, line_format or found.line_format, mapping or found.mapping,
    )  # fmt: skip
