"""History of a value in a place: the spells of all layers merged in time."""

import datetime as dt
from collections.abc import Sequence

from msgspec import Struct

from connections.rulebook.checking.gaps import change_days
from connections.rulebook.schema import Part, Spell

_DAY = dt.timedelta(days=1)


class Reign(Struct, frozen=True):
    """Days on which one layer's amount holds, `until` included; None means no end."""

    since: dt.date
    until: dt.date | None
    part: Part
    spell: Spell

    def holds_on(self, day: dt.date) -> bool:
        """Whether `day` lies within the reign."""
        return self.since <= day and (self.until is None or day <= self.until)


def reigns(stack: Sequence[Part], key: str) -> tuple[Reign, ...]:
    """Return the amounts of `key` in order of time, each from the layer that wins then.

    `stack` holds the files of one place, lowest first. Leaves out days without an edition, and days
    on which no layer gives the value.
    """
    giving = [part for part in stack if key in part.values]
    # An edition without the value still matters: where it ends, values of the layers above end.
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
    """Return the reign that holds on a day, and the next one after the day."""
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
