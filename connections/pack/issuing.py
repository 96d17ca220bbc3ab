"""Reasons why a pack can't be issued."""

from msgspec import Struct

from connections.facts.defaults import first_day, is_month, quantity_of
from connections.pack.case import Case
from connections.pack.sections.findings import undecided


class Hindrance(Struct, frozen=True):
    """One reason why a pack can't be issued: what is at fault, and what to do."""

    path: str
    message: str


def hindrances(case: Case) -> tuple[Hindrance, ...]:
    """All reasons why the pack can't be issued; empty if there are none.

    A pack that reports finished work needs dates, serial numbers and the installer's declaration.
    """
    found: list[Hindrance] = []
    if case.kind == "assessment":
        found.append(
            Hindrance(
                "procedure",
                "no procedure that this tool prepares follows from the facts; settle it first",
            )
        )
    if not case.subject:
        found.append(Hindrance("units", "the pack is about no unit; name those it is about"))
    for finding in undecided(case):
        wanted = (
            "change the facts, or enter the network operator's written agreement"
            if finding.severity == "stops"
            else "an engineer has to decide it, with a reason"
        )
        found.append(Hindrance(f"findings.{finding.id}", f"{finding.sentence} {wanted}"))
    if case.after_the_work:
        found += _after_the_work(case)
    return tuple(found)


def _after_the_work(case: Case) -> list[Hindrance]:
    found = []
    for i, unit in enumerate(case.site.units):
        if unit.id not in case.subject:
            continue
        day = first_day(unit.commissioned_on)
        if day is None or is_month(unit.commissioned_on):
            how = "is not known" if day is None else "is known by its month only"
            found.append(
                Hindrance(
                    f"units[{i}].commissioned_on",
                    f"the commissioning date of {unit.id} {how}; enter the day",
                )
            )
        serials = [text for text in unit.serials or () if text.strip()]
        wanted = quantity_of(unit)
        if not serials or (wanted is not None and len(serials) != wanted):
            found.append(
                Hindrance(
                    f"units[{i}].serials",
                    f"{unit.id} has {len(serials)} of {wanted or 'an unknown number of'} serial "
                    "numbers; enter one for each unit",
                )
            )
    if case.declaration is None:
        found.append(
            Hindrance("declaration", "the installer's declaration is not given; it comes first")
        )
    return found
