"""What a shop sets once for all its screens."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import require

UnitSystemName = Literal["metric", "inch"]
DecimalMarkName = Literal[".", ","]
_LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class ShopSettings:
    """How values are shown and typed where a reader has not chosen otherwise.

    Args:
        name: of the shop, for the head of every page; may be empty.
        units: ``metric`` or ``inch``.
        decimal: decimal mark, ``.`` or ``,``.
        currency: ISO 4217 code that a new trial begins with.
    """

    name: str = ""
    units: UnitSystemName = "metric"
    decimal: DecimalMarkName = "."
    currency: str = "EUR"

    def __post_init__(self) -> None:
        require(
            len(self.name) <= _LONGEST_NAME
            and self.name == self.name.strip()
            and (self.name == "" or self.name.isprintable()),
            "name of the shop", self.name, f"up to {_LONGEST_NAME} letters without line breaks",
        )  # fmt: skip
        require(self.units in get_args(UnitSystemName), "units", self.units, "metric or inch")
        require(self.decimal in get_args(DecimalMarkName), "decimal mark", self.decimal, ". or ,")
        require(re.fullmatch(r"[A-Z]{3}", self.currency) is not None, "currency", self.currency,
                "an ISO 4217 code of three capital letters, such as EUR")  # fmt: skip
