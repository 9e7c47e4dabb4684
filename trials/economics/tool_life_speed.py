"""The cutting speed that a tool-life equation V·T^n = C pays for.

Source: Ghosh and Mallik, Manufacturing Science, chapter on machining economics (the same formulas
stand in Groover and in Kalpakjian and Schmid).
"""

from __future__ import annotations

from trials.errors import require


def minimum_cost_speed_m_per_min(
    n: float,
    c_m_per_min: float,
    machine_rate_per_min: float,
    tool_change_min: float,
    edge_cost: float,
) -> float:
    """Speed of the cheapest piece: C · [n/(1−n) · Co/(Co·tt + Ct)]^n, m/min.

    Args:
        n: exponent of the tool-life equation, between 0 and 1.
        c_m_per_min: speed at which the tool lasts one minute.
        machine_rate_per_min: Co, money per minute.
        tool_change_min: tt, min.
        edge_cost: Ct, money per edge.

    Raises:
        InputError: n or C is out of range, or a change would cost nothing (no speed is cheapest).
    """
    _check(n, c_m_per_min)
    change = machine_rate_per_min * tool_change_min + edge_cost
    require(machine_rate_per_min > 0, "machine rate", machine_rate_per_min, "more than 0")
    require(change > 0, "cost of a change and an edge", change, "more than 0",
            "With free changes the fastest speed is the cheapest.")  # fmt: skip
    return float(c_m_per_min * (n / (1.0 - n) * machine_rate_per_min / change) ** n)


def maximum_production_speed_m_per_min(
    n: float, c_m_per_min: float, tool_change_min: float
) -> float:
    """Speed of most pieces an hour: C · [n/((1−n)·tt)]^n, m/min; arguments as above.

    Raises:
        InputError: n or C is out of range, or a change takes no time.
    """
    _check(n, c_m_per_min)
    require(tool_change_min > 0, "drill change time", tool_change_min, "more than 0 min")
    return float(c_m_per_min * (n / ((1.0 - n) * tool_change_min)) ** n)


def _check(n: float, c_m_per_min: float) -> None:
    require(0 < n < 1, "exponent n of the tool-life equation", n, "between 0 and 1")
    require(c_m_per_min > 0, "constant C of the tool-life equation", c_m_per_min,
            "more than 0 m/min")  # fmt: skip
