"""The command reference as Markdown, from the commands themselves.

``python -m trials.cli.reference > docs/reference/commands.md``
"""

from __future__ import annotations

import inspect
from typing import Any

import typer

from trials.cli.app import app

INTRODUCTION = """\
# Commands

Generated from the program by `python -m trials.cli.reference`; do not edit.

Options before the command hold for all of them. Lengths, speeds and feeds take a unit (`8.5`,
`'8,5 mm'`, `'0.004 in/rev'`, `'300 sfm'`); without one they are metric. Exit status: 0 done, 1 an
error that the message explains, 2 the command line itself was wrong.
"""


def reference() -> str:
    """The whole reference as Markdown."""
    parts = [INTRODUCTION]
    _describe(typer.main.get_command(app), "holewise", parts)
    return "\n".join(parts)


def _describe(command: Any, name: str, parts: list[str]) -> None:
    arguments = [one for one in command.params if one.param_type_name == "argument"]
    options = [one for one in command.params if one.param_type_name == "option"]
    shown = " ".join(_argument(one) for one in arguments)
    parts.append(f"## `{' '.join(filter(None, [name, shown]))}`\n")
    parts.append(f"{inspect.cleandoc(command.help or '')}\n")
    if options:
        parts.append("| option | |\n| --- | --- |")
        parts.extend(_option(one) for one in options)
        parts.append("")
    for child_name, child in getattr(command, "commands", {}).items():
        _describe(child, f"{name} {child_name}", parts)


def _argument(argument: Any) -> str:
    name = argument.metavar or argument.name.upper()
    return name if argument.required else f"[{name}]"


def _option(option: Any) -> str:
    names = ", ".join(f"`{name}`" for name in [*option.opts, *option.secondary_opts])
    text = (option.help or "").replace("|", "\\|")
    if option.required:
        text += " Needed."
    return f"| {names} | {text} |"


if __name__ == "__main__":
    typer.echo(reference(), nl=False)
