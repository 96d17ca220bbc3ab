"""The input of a box: its text, and the person's answer where the box asked about it.

The box asks about a value that can be read in two ways or is not plausible; it neither takes nor
refuses it. The answer is a tick whose value repeats the very text, so that it confirms nothing else
once the text changes.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError


class Typed(NamedTuple):
    """The text of a box, and the answer given to the question about it (empty if none)."""

    text: str
    meant: str = ""


class Reading(NamedTuple):
    """One way to read a text: the amount in words ("3680 kW"), and its value."""

    words: str
    value: Any

    def answer(self, text: str) -> str:
        """Value of the tick that confirms this reading of this text."""
        return f"{text} = {self.words}"


class AskedError(ValidationError):
    """No fault: the person must confirm the value. `readings` are the offered answers."""

    def __init__(self, message: str, text: str, readings: Sequence[Reading]) -> None:
        super().__init__(message, code="asked")
        self.text = text
        self.readings = tuple(readings)


def settle(typed: Typed, message: str, readings: Sequence[Reading]) -> Any:
    """The value of the reading that was ticked. Raises AskedError where none was."""
    for reading in readings:
        if typed.meant == reading.answer(typed.text):
            return reading.value
    raise AskedError(message, typed.text, readings)


class TypedInput(forms.TextInput):
    """Reads the text of a box together with the answer to its question."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Typed:
        """The text under `name` and the answer under `name-meant`."""
        return Typed(data.get(name) or "", data.get(f"{name}-meant") or "")

    def __deepcopy__(self, memo: Any) -> "TypedInput":
        return self
