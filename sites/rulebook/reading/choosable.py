"""Values that an entry can replace; those that operators often set come first."""

import datetime as dt
from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct, structs

from connections.rulebook.load import load_books
from connections.rulebook.reading.amounts import choices_of
from connections.rulebook.schema import DatedValue, Part, Spell
from sites.rulebook.words.rulebook import FOR_REFERENCE

OFTEN = (
    "operator.submission_address",
    "operator.own_form",
    "operator.notice",
    "operator.witness",
    "operator.looped_service",
    "balance.limit",
    "sgi-2.sum_reading",
    "g98.islanding_reading",
)
"""Values that operators often set themselves, in the order of the list."""

AREA_ONLY = (
    "operator.submission_address",
    "operator.own_form",
    "operator.notice",
    "operator.witness",
)
"""Values about one network operator, so entered for one area only."""


class Choosable(Struct, frozen=True):
    """A value that can be entered, with its present amount and the words it may take."""

    key: str
    says: str
    unit: str
    applies_to: str
    written: str
    source: str
    certainty: str
    words: tuple[str, ...]
    reference: bool

    @property
    def beside(self) -> str:
        """The unit beside the box, as in the amount now in force."""
        number, _, unit = self.written.partition(" ")
        return unit if number[:1].isdigit() else ""

    @property
    def in_short(self) -> str:
        """The key with the beginning of its sentence."""
        says = self.says if len(self.says) <= 90 else f"{self.says[:88].rsplit(' ', 1)[0]} …"
        return f"{self.key}: {says}"


@lru_cache(maxsize=4)
def choosable(on: dt.date) -> dict[str, Choosable]:
    """Return every value of an edition or an operator's file, by key, with the amounts of a day.

    A value is for reference only if no file lets it act.
    """
    books = load_books()
    found: dict[str, Choosable] = {}
    parts: Sequence[Part] = (*books.editions[::-1], *books.operators)
    for part in sorted(parts, key=lambda part: not part.holds_on(on)):
        for key, value in part.values.items():
            if key not in found:
                found[key] = _choosable(value, value.on(on) or value.spells[-1])
            elif found[key].reference and not value.reference:
                found[key] = structs.replace(found[key], reference=False)
    return found


def _choosable(value: DatedValue, spell: Spell) -> Choosable:
    return Choosable(
        key=value.key,
        says=spell.says or value.says,
        unit=value.unit,
        applies_to=spell.applies_to or value.applies_to,
        written=spell.written,
        source=str(spell.source),
        certainty=spell.certainty,
        words=choices_of(value.key),
        reference=value.reference,
    )


def groups(on: dt.date) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the keys in groups to choose from; what operators often set comes first."""
    there = choosable(on)
    often = [key for key in OFTEN if key in there]
    reference = [key for key in sorted(there) if there[key].reference]
    acting = [key for key in sorted(there) if key not in often and not there[key].reference]
    times = [key for key in acting if key.startswith("time.")]
    rest = [key for key in acting if key not in times]
    return [
        (title, [(key, there[key].in_short) for key in keys])
        for title, keys in (
            ("Often set by the network operator", often),
            ("Time limits", times),
            ("Other values", rest),
            (FOR_REFERENCE, reference),
        )
    ]
