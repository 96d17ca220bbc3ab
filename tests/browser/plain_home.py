"""A plain home retrofit, typed: PV is there, storage with its inverter is added. All invented."""

import datetime as dt
from typing import Literal, NamedTuple

from django.utils import timezone

from connections.facts.supply_number import check_digit
from sites.people.models import Firm
from tests.browser.keyboard import Keyboard

AT_MOST = 40
"""Boxes that must be filled for a plain home retrofit, from the issue."""

_FIRST_TWELVE = "120000001002"  # 12 is a distributor id of Great Britain's numbers
SUPPLY_NUMBER = f"{_FIRST_TWELVE}{check_digit(_FIRST_TWELVE)}"
PLANNED = timezone.localdate() + dt.timedelta(days=60)


class Entry(NamedTuple):
    """What is done at one box, by the name under which it is posted: typed or chosen; or a button
    that adds a row is pushed, and `text` is what the row is called."""

    how: Literal["fill", "choose", "add"]
    box: str
    text: str


def _unit(prefix: str, source: str, *more: Entry) -> list[Entry]:
    return [
        Entry("choose", f"{prefix}-source", source),
        Entry("fill", f"{prefix}-rated_w", "3.6"),
        Entry("choose", f"{prefix}-type_tested", "full"),
        Entry("fill", f"{prefix}-standard", "G98"),
        Entry("fill", f"{prefix}-type_test_reference", "INVENTED/3600"),
        Entry("choose", f"{prefix}-can_island", "no"),
        *more,
        Entry("fill", f"{prefix}-maker", "invented maker"),
        Entry("fill", f"{prefix}-model", "invented"),
    ]


CASE = [
    Entry("fill", "case-reference", "KEYS-1"),
    Entry("fill", "case-planned_on", f"{PLANNED:%d/%m/%Y}"),
    Entry("fill", "customer-name", "Barnaby Quill (invented)"),
    Entry("fill", "customer-phone", "01632 960202"),
    Entry("fill", "premises-address_lines", "Larkfield Cottage\nFennhaven"),
    Entry("fill", "premises-postcode", "zz1 2bb"),
    Entry("choose", "premises-nation", "england"),
    Entry("choose", "premises-owner_consent", "yes"),
    Entry("fill", "numbers-0-value", SUPPLY_NUMBER),
]
SUPPLY = [
    Entry("choose", "supply-phases", "1"),
    Entry("fill", "supply-cutout_a", "80"),
    Entry("choose", "supply-earthing", "TN-C-S"),
    Entry("choose", "supply-looped", "no"),
    Entry("choose", "nearby-nearby", "none"),
]
THERE = [
    Entry("add", "Add a unit that is there", "Existing unit 1"),
    *_unit(
        "existing-units-0",
        "pv",
        Entry("fill", "existing-units-0-commissioned_on", "19/5/2021"),
    ),
    Entry("add", "Add panels", "Existing panels 1"),
    Entry("fill", "existing-arrays-0-peak_w", "4"),
]
PROPOSED = [
    *_unit("proposed-units-0", "storage"),
    Entry("add", "Add cells", "Cells 1"),
    Entry("fill", "proposed-cells-0-usable_wh", "9,5"),
    Entry("fill", "proposed-cells-0-charge_w", "3.6 kW"),
    Entry("fill", "proposed-cells-0-discharge_w", "3600 W"),
    Entry("choose", "proposed-cells-0-charges_from_grid", "yes"),
    Entry("choose", "proposed-cells-0-exports", "yes"),
]


def make_firm() -> Firm:
    """The firm whose details fill the installer's boxes."""
    return Firm.objects.create(
        name="Invented Solar",
        address="Unit 4\nFennhaven",
        email="office@firm.example",
        phone="01632 960140",
        registration="invented",
    )


def type_in(keyboard: Keyboard, entries: list[Entry]) -> None:
    """Type these entries by keyboard alone, one after the other."""
    for how, box, text in entries:
        if how == "add":
            keyboard.add_row(box, text)
        elif how == "fill":
            keyboard.fill(box, text)
        else:
            keyboard.choose(box, text)
