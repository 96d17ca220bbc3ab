"""How long each amount of a value holds in a place: the spells of all layers put on each other."""

import datetime as dt
from collections.abc import Sequence

from msgspec import Struct

from connections.rulebook.checking.gaps import change_days
from connections.rulebook.schema import Part, Spell

_DAY = dt.timedelta(days=1)


class Reign(Struct, frozen=True):
    """Days on which one layer's amount of a value holds; `until` is the last one, None for ever."""

    since: dt.date
    until: dt.date | None
    part: Part
    spell: Spell

    def holds_on(self, day: dt.date) -> bool:
        """Whether `day` lies within it."""
        return self.since <= day and (self.until is None or day <= self.until)


def reigns(stack: Sequence[Part], key: str) -> tuple[Reign, ...]:
    """Every amount of `key` in the order of time, from whatever layer of `stack` gives it.

    `stack` holds the files of one place, lowest first. Days on which no layer gives the value, or
    no edition holds, are left out.
    """
    giving = [part for part in stack if key in part.values]
    # An edition that doesn't give the value ends what a layer above it says only by ending itself.
    editions = [part for part in stack if part.kind == "edition"]
    days = sorted(
        {
            *change_days(giving, frozenset({key})),
            *(part.since for part in editions),
            *(part.until + _DAY for part in editions if part.until is not None),
        }
    )
    found: list[Reign] = []
    for n, day in enumerate(days):
        if not any(part.holds_on(day) for part in editions):
            continue
        won = _winner(giving, key, day)
        if won is None:
            continue
        part, spell = won
        until = days[n + 1] - _DAY if n + 1 < len(days) else None
        last = found[-1] if found else None
        if last is not None and last.until == day - _DAY and _same(last, part, spell):
            found[-1] = Reign(last.since, until, part, spell)
        else:
            found.append(Reign(day, until, part, spell))
    return tuple(found)


def reign_on(found: Sequence[Reign], day: dt.date) -> tuple[Reign | None, Reign | None]:
    """The reign that holds on a day, and the one that comes after the day."""
    now = next((reign for reign in found if reign.holds_on(day)), None)
    then = next((reign for reign in found if reign.since > day), None)
    return now, then


def _winner(giving: Sequence[Part], key: str, day: dt.date) -> tuple[Part, Spell] | None:
    for part in reversed(giving):
        if part.holds_on(day):
            spell = part.values[key].on(day)
            if spell is not None:
                return part, spell
    return None


def _same(last: Reign, part: Part, spell: Spell) -> bool:
    return last.part is part and last.spell is spell
