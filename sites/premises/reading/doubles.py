"""Finds premises that have a supply number or an address in common."""

import hashlib
import re
from collections.abc import Iterable
from typing import NamedTuple

from django.db.models import Q
from msgspec import Struct

from connections.facts.supply_number import SupplyNumberError, read_core
from connections.rules.figures import kilowatts
from sites.premises.models import Double, Locator, Premises, SupplyNumber, Unit
from sites.premises.reading.site_rows import SiteRows

MOST_SHOWN = 5
"""Premises that one question names at most; our own choice."""
_NUMBERS = re.compile(r"[0-9]+[a-z]?")


class Mark(NamedTuple):
    """A supply number or an address in a form in which the same is equal."""

    kind: str
    digest: str


class Alike(Struct, frozen=True):
    """Another premises with the same supply number or address.

    `same` is what a person said of the two; None: nobody was asked yet. `there_w` is the registered
    capacity that runs there and does not stand here, None if a rating is not known.
    """

    premises: Premises
    by_number: bool
    same: bool | None = None
    there: int = 0
    there_w: int | None = 0

    @property
    def there_kw(self) -> str:
        """The capacity there in words; empty if it is not known."""
        return "" if self.there_w is None else kilowatts(self.there_w)


def marks_of(rows: SiteRows) -> frozenset[Mark]:
    """The marks of a premises: each supply number, and postcode with house numbers.

    Common practice, no source: a postcode and a house number name one delivery point. Without any
    number the first line of the address stands in.
    """
    found = set()
    for number in rows.numbers:
        core = _core(number)
        if core:
            found.add(_mark("number", f"{number.scheme}:{core}"))
    premises = rows.premises
    postcode = "".join(premises.postcode.casefold().split())
    address = premises.address_lines.casefold()
    house = sorted(set(_NUMBERS.findall(address)))
    said = ",".join(house) or "".join(re.findall(r"\w", address.partition("\n")[0]))
    if postcode and said:
        found.add(_mark("address", f"{postcode}:{said}"))
    return frozenset(found)


def _core(number: SupplyNumber) -> str:
    try:
        return read_core(number.value, number.scheme).digits
    except SupplyNumberError:
        return ""


def _mark(kind: str, text: str) -> Mark:
    return Mark(kind, hashlib.sha256(text.encode()).hexdigest())


def alike(marks: Iterable[Mark], *, than: Premises | None = None) -> list[Alike]:
    """Premises with one of these marks other than `than`, with what was said of the two.

    At most MOST_SHOWN that nobody was asked about, beside those that were. Two queries.
    """
    digests = {mark.digest for mark in marks}
    if not digests:
        return []
    said = _said(than) if than is not None and than.pk else {}
    of: dict[int, bool] = {}
    found = Locator.objects.filter(digest__in=digests).order_by("premises_id")
    if than is not None and than.pk:
        found = found.exclude(premises=than)
    most = (MOST_SHOWN + len(said)) * max(2, len(digests))
    for pk, kind in found.values_list("premises_id", "kind")[:most]:
        of[pk] = of.get(pk, False) or kind == "number"
    shown = Premises.objects.in_bulk(of)
    asked = [pk for pk in of if said.get(pk) is None][:MOST_SHOWN]
    kept = {*asked, *(pk for pk in of if said.get(pk) is not None)}
    return [Alike(shown[pk], of[pk], said.get(pk)) for pk in of if pk in kept]


def _said(premises: Premises) -> dict[int, bool]:
    """What was said of a premises and others, by the other's primary key."""
    pairs = Double.objects.filter(Q(one=premises) | Q(other=premises)).values_list(
        "one_id", "other_id", "same"
    )
    return {other if one == premises.pk else one: same for one, other, same in pairs}


def doubles_of(premises: Premises) -> list[Alike]:
    """Premises that are alike, or linked by a person, and the plant there that is not here.

    Five queries, however many rows there are.
    """
    marks = [
        Mark(kind, digest)
        for kind, digest in Locator.objects.filter(premises=premises).values_list("kind", "digest")
    ]
    found = [each for each in alike(marks, than=premises) if each.same is not False]
    plant: dict[int, list[Unit]] = {}
    running = Unit.objects.filter(
        Q(design=None) | Q(design__is_proposal=True, commissioned_on__isnull=False)
    ).filter(premises__in=[premises.pk, *(each.premises.pk for each in found)])
    for unit in running.order_by("pk") if found else ():
        plant.setdefault(unit.premises_id, []).append(unit)
    here = [_like(unit) for unit in plant.get(premises.pk, ())]
    return [_with_plant(each, plant.get(each.premises.pk, []), here) for each in found]


def _like(unit: Unit) -> tuple[object, ...]:
    return (unit.source, unit.rated_w, unit.quantity, unit.maker, unit.model, unit.serials)


def _with_plant(each: Alike, there: list[Unit], here: list[tuple[object, ...]]) -> Alike:
    """Count the units there that do not stand here too; each one here counts for one there."""
    left, missing = list(here), []
    for unit in there:
        if _like(unit) in left:
            left.remove(_like(unit))
        else:
            missing.append(unit)
    # A number that is left out is 1, as everywhere.
    watts = [(unit.rated_w or unit.rated_va or 0) * (unit.quantity or 1) for unit in missing]
    total = sum(watts) if all(watts) else None
    return Alike(each.premises, each.by_number, each.same, len(missing), total)
