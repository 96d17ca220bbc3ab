"""Letters on existing plant, in plain text, made of the facts: a query, and a late notice."""

import datetime as dt
from collections.abc import Iterator

from msgspec import UNSET, Struct, structs

from connections.facts.defaults import status_of
from connections.facts.site import Site
from connections.pack.build import kind_of
from connections.rulebook.telling import day_in_words
from sites.cases.models import Case
from sites.deciding.reading.deciding import decide_rows, decide_site
from sites.people.models import Firm
from sites.premises.forms.plant import ProposedUnitForm
from sites.premises.reading.site_rows import rows_for, today
from sites.premises.words.rows import UnitWords, plant_words

NOTHING = "We know of no entry in your record."


class LateNotice(Struct, frozen=True):
    """What plant that the operator never heard of would have needed by today's rules.

    `letter` is a notice after the fact where a notification is the way; else it is applied for.
    """

    title: str
    letter: str
    fault: str = ""


def query_letter(case: Case, recorded: str, asked_on: dt.date) -> str:
    """The letter that asks what the operator's record shows; empty where no plant is there."""
    found = list(_found(case))
    if not found:
        return ""
    return _letter(
        case,
        asked_on,
        "Your record of the generation and storage at this supply",
        (
            "We found this plant at the supply:",
            *found,
            "",
            "Of your record we know:",
            recorded.strip() or NOTHING,
            "",
            "Please tell us:",
            "1. which generation and storage your record shows at this supply;",
            "2. whether it agrees with what we found;",
            "3. what you need from us to put it right, and in which form.",
            "",
            "We send you nothing else on this supply until we have your answer.",
        ),
    )


def late_notice(case: Case) -> LateNotice | None:
    """What existing plant alone comes to by today's rules; None where no plant is there."""
    decided = decide_rows(rows_for(case.premises, case.design))
    found = list(_found(case))
    if decided.site is None or not found:
        return None
    alone = decide_site(_alone(decided.site, decided.proposed))
    if alone.decision is None:
        return LateNotice("", "", alone.fault)
    title = alone.decision.procedure.title
    if kind_of(alone.decision) != "notification":
        return LateNotice(title, "")
    letter = _letter(
        case,
        today(),
        "Late notice of plant that you were not told of",
        (
            "You told us that your record does not show this plant:",
            *found,
            "",
            f"By the rules of today it is notified: {title}.",
            "We notify you of it now, after the fact. Please enter it in your record.",
        ),
    )
    return LateNotice(title, letter)


def _alone(site: Site, proposed: tuple[str, ...]) -> Site:
    """The existing plant as if it were proposed today, without what is new."""
    units = tuple(
        structs.replace(unit, status="proposed", commissioned_on=UNSET)
        for unit in site.units
        if status_of(unit) != "proposed" and unit.id not in proposed
    )
    ids = {unit.id for unit in units}
    kept = {
        name: tuple(part for part in parts if part.unit_id in ids)
        for name in ("arrays", "storage")
        if (parts := getattr(site, name)) is not UNSET
    }
    return structs.replace(site, units=units, caps=(), **kept)


def _letter(case: Case, on: dt.date, about: str, body: tuple[str, ...]) -> str:
    firm = Firm.objects.first()
    premises = case.premises
    numbers = [each.value for each in premises.supply_numbers.all() if each.value]
    head = [firm.name, *firm.address.splitlines()] if firm is not None else []
    lines = [
        *head,
        "",
        day_in_words(on),
        "",
        "To the network operator",
        "",
        about,
        "",
        f"Supply number (MPAN): {', '.join(numbers) or 'not known'}",
        f"Premises: {', '.join((*premises.address_lines.splitlines(), premises.postcode))}",
        f"Our reference: {case.application.reference}",
        "",
        *body,
        "",
        firm.name if firm is not None else "",
    ]
    return "\n".join(lines).strip() + "\n"


def _found(case: Case) -> Iterator[str]:
    for unit in plant_words(rows_for(case.premises, case.design).existing).units:
        yield f"- {_unit(unit)}"


_SAID = {
    str(ProposedUnitForm.base_fields[name].label)
    for name in ("maker", "model", "type_test_reference", "commissioned_on")
}
"""What a letter says of a unit beside its source, rating and phases."""


def _unit(unit: UnitWords) -> str:
    rest = [f"{name.lower()} {value}" for name, value in unit.rest if name in _SAID]
    return "; ".join((f"{unit.quantity} × {unit.source}, {unit.rated}, on {unit.phases}", *rest))
