"""Reasons why a pack can't be issued."""

from msgspec import Struct

from connections.facts.defaults import first_day, is_month, quantity_of
from connections.pack.case import Case
from connections.pack.needs import gaps, needed_ids, unknown_needs
from connections.pack.sections.findings import undecided

COMMISSIONED = "case.commissioned_on"
"""A pack that reports finished work is never sent without the day of it."""


class Hindrance(Struct, frozen=True):
    """One reason why a pack can't be issued: what is at fault, and what to do.

    `need` is the data item that is missing, `of` its row and `fact` its words, where an engineer
    may send the pack without it, with a reason.
    """

    path: str
    message: str
    need: str = ""
    of: str = ""
    fact: str = ""


def hindrances(case: Case) -> tuple[Hindrance, ...]:
    """All reasons why the pack can't be issued; empty if there are none.

    A needed fact that is not known is one, unless an engineer sends the pack without it. A pack
    that reports finished work needs dates, serial numbers and the installer's declaration.
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
            "an engineer has to decide it, with a reason"
            if finding.severity != "stops"
            else "change the facts, or enter the network operator's written agreement"
            if finding.agreement
            else "change the facts; nothing else clears it"
        )
        found.append(Hindrance(f"findings.{finding.id}", f"{finding.sentence} {wanted}"))
    if case.kind != "assessment":
        found += _lacking(case)
    if case.after_the_work:
        found += _after_the_work(case)
    return tuple(found)


def _lacking(case: Case) -> list[Hindrance]:
    found = [
        Hindrance("rulebook", f"{key} asks for {item_id}, which no pack has; correct the rulebook")
        for key, item_id in unknown_needs(case)
    ]
    if COMMISSIONED in needed_ids(case):
        found += _without_day(case)
    for gap in gaps(case):
        # Its day is looked at for each unit, and a month alone is no day.
        if gap.item != COMMISSIONED and case.reason_without(gap.item, gap.of) is None:
            found.append(Hindrance(gap.path, f"missing: {gap.says}", gap.item, gap.of, gap.says))
    return found


def _without_day(case: Case) -> list[Hindrance]:
    found = []
    for i, unit in enumerate(case.site.units):
        day = first_day(unit.commissioned_on)
        if unit.id in case.subject and (day is None or is_month(unit.commissioned_on)):
            how = "is not known" if day is None else "is known by its month only"
            found.append(
                Hindrance(
                    f"units[{i}].commissioned_on",
                    f"the commissioning date of {unit.id} {how}; enter the day",
                )
            )
    return found


def _after_the_work(case: Case) -> list[Hindrance]:
    found = []
    for i, unit in enumerate(case.site.units):
        serials = [text for text in unit.serials or () if text.strip()]
        wanted = quantity_of(unit)
        if unit.id in case.subject and serials and wanted is not None and len(serials) != wanted:
            found.append(
                Hindrance(
                    f"units[{i}].serials",
                    f"{unit.id} has {len(serials)} of {wanted} serial numbers; enter one for each "
                    "unit",
                )
            )
    if case.declaration is None:
        found.append(
            Hindrance("declaration", "the installer's declaration is not given; it comes first")
        )
    return found
