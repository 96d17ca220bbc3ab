"""Boxes of the sheet for amounts with a unit, read by `sites.house.boxes.amounts`.

They ask about a comma before exactly three digits, and about an amount outside the plausible band.
"""

from typing import Any

from connections.facts.declaring import Fact
from sites.house.boxes.amounts import Measure
from sites.house.boxes.fields import Box, band_of
from sites.house.boxes.typed import Typed


class QuantityBox(Box):
    """An amount in whole `unit` (see quantities.WHOLE_UNITS), with `beside` printed at the box.

    The band from `low` to `high`, in `unit`, is the plausible range: our own choice. `signed`
    allows negative amounts, `zero` allows 0, and `most` is the largest possible amount.
    """

    numeric = True
    empty = None

    def __init__(
        self,
        label: str,
        unit: str,
        *,
        beside: str,
        low: int,
        high: int,
        signed: bool = False,
        zero: bool = False,
        most: int | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, beside=beside, **kwargs)
        self.measure = Measure(unit, beside, signed, zero, most, (low, high))

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives."""
        amount = {"unit": fact.unit, "zero": fact.zero, "most": fact.most}
        return {**super().said_of(fact), **amount, **band_of(fact)}

    def read(self, typed: Typed) -> Any:
        """The amount in whole `unit`. Raises ValidationError."""
        return self.measure.read(typed)

    def write(self, value: Any) -> str:
        """The amount in the unit beside the box."""
        return "" if value is None else self.measure.write(value)
