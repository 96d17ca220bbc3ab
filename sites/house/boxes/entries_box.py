"""Boxes for lists of the site file: an entry a line, its parts divided by semicolons."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from msgspec import Struct

from connections.facts.declaring import Fact, declared, lowered
from sites.house.boxes.amounts import Measure, with_unit
from sites.house.boxes.fields import Box, CountBox, refuse_control_characters
from sites.house.boxes.typed import Typed


class LinesBox(Box):
    """A list typed one entry a line; each kind of list reads and writes its own lines."""

    control = "lines"
    width = "long"
    empty: Any = ()
    most = 30
    many = "of them"

    def clean(self, value: Any) -> Any:
        """Return the entries as a new list. Raises ValidationError."""
        found = super().clean(value)
        return found if found is None else list(found)

    def read(self, typed: Typed) -> Any:
        """Return one entry for each line that is not empty. Raises ValidationError."""
        refuse_control_characters(typed.text.replace("\r", ""))
        lines = [line.strip() for line in typed.text.splitlines() if line.strip()]
        if len(lines) > self.most:
            raise ValidationError(f"write at most {self.most} {self.many}", code="many")
        return [self.entry_of(line) for line in lines]

    def write(self, value: Any) -> str:
        """Return the entries as lines."""
        return "\n".join(self.line_of(entry) for entry in value or ())

    def entry_of(self, line: str) -> dict[str, Any]:
        """Return the entry of one line. Raises ValidationError."""
        raise NotImplementedError

    def line_of(self, entry: dict[str, Any]) -> str:
        """Return the line of one entry."""
        raise NotImplementedError


class EntriesBox(LinesBox):
    """Entries of a kind, one a line; each fact in its place and its unit, empty if not known.

    `noun` calls one of them. The fact `needed` stands in each; with `once` no two say the same
    there.
    """

    empty: Any = None

    def __init__(
        self,
        label: str,
        entry: type[Struct],
        *,
        noun: str,
        first: str = "",
        once: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self.facts: Mapping[str, Fact] = declared(entry)
        self.noun, self.first, self.once = noun, first, once

    def read(self, typed: Typed) -> Any:
        """An entry for each line that is not empty. Raises ValidationError."""
        found = super().read(typed)
        if self.once:
            self._refuse_twice([entry[self.first] for entry in found])
        return found

    def entry_of(self, line: str) -> dict[str, Any]:
        """The facts of a line, each in its place."""
        parts = [part.strip() for part in line.split(";")]
        if len(parts) > len(self.facts) or not any(parts):
            order = "; ".join(lowered(fact.label) for fact in self.facts.values())
            raise ValidationError(f'"{line[:80]}" is no {self.noun}; write {order}', code="entry")
        entry: dict[str, Any] = {}
        for (name, fact), text in zip(self.facts.items(), parts, strict=False):
            if text:
                entry[name] = self._amount(fact, text)
            elif name == self.first:
                raise ValidationError(
                    f'"{line[:80]}" does not begin with its {fact.noun}', code="needed-here"
                )
        return entry

    def _amount(self, fact: Fact, text: str) -> int:
        try:
            if fact.unit:
                return Measure(fact.unit, fact.beside, most=fact.most).exactly(text)
            return _count(fact, text)
        except ValidationError as fault:
            message = " ".join(fault.messages)
            raise ValidationError(f"{lowered(fact.label)}: {message}", code=fault.code) from None

    def line_of(self, entry: dict[str, Any]) -> str:
        """The facts of an entry, each in its place."""
        said = [
            ""
            if (value := entry.get(name)) is None
            else with_unit(Measure(fact.unit, fact.beside).write(value), fact.beside)
            if fact.unit
            else str(value)
            for name, fact in self.facts.items()
        ]
        return "; ".join(said).rstrip("; ")

    def _refuse_twice(self, said: list[Any]) -> None:
        for value in said:
            if said.count(value) > 1:
                noun = self.facts[self.first].noun
                raise ValidationError(f"{noun} {value} stands twice; give it once", code="twice")


def _count(fact: Fact, text: str) -> int:
    most = fact.most or 1_000_000
    if not (text.isascii() and text.isdigit()) or not 0 < int(text[:9]) <= most or len(text) > 9:
        raise ValidationError(f"write a whole number from 1 to {most}", code="count")
    return int(text)


class NumberOrEntriesBox(CountBox):
    """A number of things, or the things themselves, one a line."""

    control = "lines"

    def __init__(self, label: str, entry: type[Struct], *, noun: str, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.listed = EntriesBox(label, entry, noun=noun)

    def read(self, typed: Typed) -> Any:
        """The number, or an entry for each line. Raises ValidationError."""
        return self.listed.read(typed) if ";" in typed.text else super().read(typed)

    def write(self, value: Any) -> str:
        """The number, or the entries as lines."""
        return self.listed.write(value) if isinstance(value, list | tuple) else super().write(value)
