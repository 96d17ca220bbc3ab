"""What arrives from a box: its text, and whether the person was asked about it and answered.

A value that can be read in two ways, or that lies outside what is plausible in its box, is neither
taken nor refused: it is asked about. The answer is a tick whose value repeats the very text, so
that it confirms nothing else once the text changes.
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
    """One way to read a text: the amount in words ("3680 kW"), and the value it comes to."""

    words: str
    value: Any

    def answer(self, text: str) -> str:
        """The value of the tick that says this reading of this text is meant."""
        return f"{text} = {self.words}"


class AskedError(ValidationError):
    """Not wrong, but the person must say that it is meant. `readings` are the offered answers."""

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
    """Takes the text of a box together with the answer to the question about it."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Typed:
        """The text under `name` and the answer under `name-meant`."""
        return Typed(data.get(name) or "", data.get(f"{name}-meant") or "")

    def __deepcopy__(self, memo: Any) -> "TypedInput":
        return self
