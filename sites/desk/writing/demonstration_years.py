"""Inputs for energy years of the demonstration, and a second design for one premises."""

from decimal import Decimal

from msgspec.structs import replace

from connections.energy.options import Window
from sites.cases.models import Case
from sites.deciding.reading.deciding import decide_case
from sites.deciding.reading.remedies import remedy_mark
from sites.designs.writing.from_remedy import design_from_remedy
from sites.energy.writing.given import Given, HourPence
from sites.energy.writing.years import ask_for_years, enter_inputs
from sites.people.models import Person

_REGIONS = {
    "gb-10": 12, "gb-11": 6, "gb-12": 1, "gb-14": 6, "gb-15": 10, "gb-18": 15, "gb-19": 2,
    "gb-20": 3, "gb-21": 13, "gb-22": 4, "gb-23": 11,
}  # fmt: skip
"""Regions of the published monthly means for these licence areas, matched by our own eye."""

_USE_KWH = {"FH-106": 14_000, "FH-111": 32_000}
_HOME_KWH = 3500
"""Invented, like all of the demonstration."""

_WITH_PRICES = ("FH-103", "FH-112")
_TWO_DESIGNS = "FH-112"
_KIND = "shared-inverter"
_NAME = "One hybrid inverter"


def enter_demo_years(case: Case, by: Person) -> None:
    """Enter region and use for a premises of the demonstration, and ask for its years.

    Enters nothing if the facts do not make a year, so that the page shows its beginning.
    """
    decision = decide_case(case).decision
    if decision is None or decision.procedure.key == "undetermined":
        return
    number = case.premises.reference.split(" ", 1)[0]
    if number == _TWO_DESIGNS:
        _add_design(case, by)
    given = Given(
        region=_REGIONS[case.premises.licence_area],
        yearly_use_kwh=_USE_KWH.get(number, _HOME_KWH),
    )
    if number in _WITH_PRICES:
        given = replace(
            given,
            import_pence=Decimal("27.00"),
            export_pence=Decimal("12.00"),
            cheap_pence=Decimal("9.00"),
            cheap=Window(30, 330),
            import_hours=(HourPence(Window(960, 1140), Decimal("38.00")),),
            standing_pence=Decimal("54.00"),
        )
    enter_inputs(premises=case.premises, given=given, seen="", by=by)
    ask_for_years(premises=case.premises, by=by)


def _add_design(case: Case, by: Person) -> None:
    decision = decide_case(case, remedies=True).decision
    assert decision is not None
    found = next(each for each in decision.remedies if each.kind == _KIND)
    design_from_remedy(design=case.design, mark=remedy_mark(found), name=_NAME, by=by)
