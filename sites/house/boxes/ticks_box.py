"""A box of several ticks, one for each name: the standards that a maker declares."""

from typing import Any

from django.core.exceptions import ValidationError

from connections.facts.declaring import Choices, Fact
from sites.house.boxes.fields import Box, Control, refuse_control_characters
from sites.house.boxes.typed import Typed, TypedInput

NONE = "none"
"""The tick for "known, and there are none"."""


def lines_of(data: Any, name: str) -> str:
    """All values that a page posted under a name, one a line."""
    values = data.getlist(name) if hasattr(data, "getlist") else [data.get(name) or ""]
    return "\n".join(line for value in values for line in value.split("\n") if line.strip())


class TickedInput(TypedInput):
    """Reads the values of all ticks that are set, one a line."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Typed:
        """The ticked names under `name`."""
        return Typed(lines_of(data, name))


class TicksBox(Box):
    """Ticks for names; a saved name that isn't among the choices stands as one more tick.

    The fact is a list of names in the order of the choices, an empty list for the tick `none`, and
    None without a tick.
    """

    control: Control = "ticks"
    empty = None

    def __init__(
        self, label: str, choices: Choices, *, none: str, longest: int = 200, **kwargs: Any
    ) -> None:
        super().__init__(label, width="long", **kwargs)
        self.widget = TickedInput()
        self.choices: Choices = (*choices, (NONE, none))
        self.longest = longest

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives."""
        return {**super().said_of(fact), "choices": fact.choices}

    def read(self, typed: Typed) -> list[str]:
        """The names ticked. Raises ValidationError."""
        names = list(dict.fromkeys(" ".join(line.split()) for line in typed.text.split("\n")))
        for name in names:
            refuse_control_characters(name)
            if len(name) > self.longest:
                raise ValidationError(
                    f"this has {len(name)} characters; shorten it to {self.longest}", code="long"
                )
        if NONE in names:
            if len(names) > 1:
                words = dict(self.choices)[NONE]
                raise ValidationError(
                    f'take the tick at "{words}" out, or the others', code="contrary"
                )
            return []
        order = [value for value, _words in self.choices]
        return sorted(names, key=lambda name: order.index(name) if name in order else len(order))

    def write(self, value: Any) -> str:
        """The ticked names, one a line."""
        return "" if value is None else "\n".join(value) or NONE

    def texts(self, value: Any) -> list[str]:
        """Values that a page with these ticks posts."""
        return self.write(value).splitlines() or [""]

    def shown(self, text: str) -> str:
        """The words of the ticks that are set."""
        words = dict(self.choices)
        return "; ".join(words.get(line, line) for line in text.splitlines())

    def options(self, text: str) -> list[tuple[str, str, bool]]:
        """Every tick: its value, its words, and whether it is set."""
        ticked = [line for line in text.split("\n") if line.strip()]
        offered = {value for value, _words in self.choices}
        # A saved name that isn't offered keeps its tick.
        others = [(line, line) for line in dict.fromkeys(ticked) if line not in offered]
        return [(value, words, value in ticked) for value, words in (*self.choices, *others)]
