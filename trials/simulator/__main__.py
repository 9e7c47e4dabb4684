"""``python -m trials.simulator``: the first line on standard output is the address it talks on."""

from __future__ import annotations

import sys

from trials.errors import HolewiseError
from trials.simulator.arguments import CAUTION, read_arguments
from trials.simulator.links import ListenerGoneError
from trials.simulator.talking import tell


def main(arguments: list[str]) -> int:
    """Run one pass: 0 when all of it was sent, 1 when it was cut short, 2 for bad arguments."""
    try:
        command = read_arguments(arguments)
        tell(command, lambda address: print(address, flush=True))  # noqa: T201 - its one output
    except HolewiseError as error:
        print(error, file=sys.stderr)  # noqa: T201
        return 2 if isinstance(error, ValueError) else 1
    except ListenerGoneError:
        print("the listener left before the run was over", file=sys.stderr)  # noqa: T201
        return 1
    except KeyboardInterrupt:
        return 1
    print(CAUTION, file=sys.stderr)  # noqa: T201
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
