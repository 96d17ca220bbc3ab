"""The first half of the sheet: the case, who it is for, where, and the supply."""

from functools import cache
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.safestring import SafeString

from connections.facts.supply_number import GREAT_BRITAIN, SupplyNumberError, read_core
from connections.rulebook.load import load_books
from sites.house.boxes.choices import (
    EARTHING,
    GRIDS,
    LEVELS,
    NATIONS,
    NEARBY,
    SCHEMES,
    SUPPLY_PHASES,
    USES,
)
from sites.house.boxes.fields import (
    ChoiceBox,
    Choices,
    CountBox,
    DayBox,
    EmailBox,
    LinesBox,
    PostcodeBox,
    TickBox,
    WholeChoiceBox,
    WordsBox,
    YesNoBox,
)
from sites.house.boxes.layout import Boxes, Layout, More
from sites.house.boxes.quantity_box import QuantityBox
from sites.house.boxes.sheet_form import RowForm, SheetForm


@cache
def licence_areas() -> Choices:
    """Id and name of every licence area; read from the rulebook's files once."""
    return tuple((area.id, area.name) for area in load_books().areas if not area.independent)


class CaseForm(SheetForm):
    """What the case is called and when the work is planned."""

    reference = WordsBox(
        "Reference",
        width="long",
        required=True,
        needed="give the case a reference of your own; it stands on everything that is sent",
        hint="your own name for the case; it stands on everything that is sent",
    )
    planned_on = DayBox("Planned date", back=1, ahead=5)
    on_date = DayBox(
        "Date of the rules",
        back=3,
        ahead=3,
        hint="day/month/year; empty: today",
    )
    layout = Layout(Boxes("reference", "planned_on"), More("on_date"))


class PartyForm(SheetForm):
    """A person or firm of the case. Personal data."""

    name = WordsBox("Name", width="long")
    role = WordsBox("Role", suggestions="roles")
    phone = WordsBox("Telephone", longest=50)
    email = EmailBox("E-mail", longest=254, width="long")
    address_lines = LinesBox("Address", width="long")
    registration = WordsBox("Registration")


class CustomerForm(PartyForm):
    """Whose premises it is."""

    called = "Customer"
    layout = Layout(
        Boxes("name", "email", "phone"),
        More("role", "address_lines", "registration", title="More about the customer"),
    )


class ApplicantForm(PartyForm):
    """Who asks, where that is neither the customer nor the installer."""

    called = "Applicant"
    layout = Layout(Boxes("name", "email", "phone", "role", "registration", "address_lines"))


class InstallerForm(PartyForm):
    """Who does the work; filled from the firm's own details."""

    called = "Installer"
    layout = Layout(Boxes("name", "email", "phone", "role", "registration", "address_lines"))


class PremisesForm(SheetForm):
    """Where the plant stands."""

    called = "Premises"
    name = WordsBox("Name of the premises")
    address_lines = LinesBox("Address", width="long")
    postcode = PostcodeBox("Postcode", longest=20, width="short")
    nation = ChoiceBox("Nation", NATIONS)
    licence_area = ChoiceBox(
        "Licence area", licence_areas, nothing="as the supply number says", width="long"
    )
    owner_consent = YesNoBox("Owner consents")
    metering = WordsBox("Metering", width="long")
    feeder = WordsBox("Feeder", hint="as the network operator names it")
    easting = CountBox("Grid reference, east", low=1, high=700_000, highest=9_999_999)
    northing = CountBox("Grid reference, north", low=1, high=1_300_000, highest=9_999_999)
    grid = ChoiceBox("Grid", GRIDS)
    assessed_demand_va = QuantityBox(
        "Maximum demand", "VA", beside="kVA", low=500, high=5_000_000, zero=True
    )
    loads_measured = YesNoBox("How the demand was found", yes="measured", no="worked out")
    assumed_voltage_mv = QuantityBox(
        "Network voltage taken as, phase to neutral", "mV", beside="V", low=200_000, high=260_000
    )
    layout = Layout(
        Boxes("address_lines", "postcode", "nation", "owner_consent"),
        More(
            "name",
            "metering",
            "feeder",
            "easting",
            "northing",
            "grid",
            "assessed_demand_va",
            "loads_measured",
            "assumed_voltage_mv",
            title="More about the premises",
        ),
    )
    layout_area = Layout(Boxes("licence_area"))

    @property
    def area_html(self) -> SafeString:
        """The licence area, which stands after the supply numbers that it follows from."""
        return SafeString(self.layout_area.render(self, {}))


class NumberForm(RowForm):
    """A supply number."""

    noun = "Supply number"
    defaults = {"use": "import", "scheme": GREAT_BRITAIN}  # noqa: RUF012 (read only)
    use = ChoiceBox("For", USES, nothing="choose", required=True, width="short")
    scheme = ChoiceBox("Kind of number", SCHEMES, nothing="choose", required=True)
    value = WordsBox(
        "Number",
        longest=60,
        required=True,
        needed="type the number as it stands on the bill",
        hint="the 13 digits of the bottom line of the bill, or all 21; in Ireland 11",
        width="long",
    )
    layout = Layout(Boxes("value", "use"), More("scheme", title="Another kind of number"))

    def clean_value(self) -> Any:
        """The number as typed, once its length and its check digit fit; any prefix is kept."""
        number: str = self.cleaned_data["value"]
        scheme = self.cleaned_data.get("scheme") or GREAT_BRITAIN
        try:
            read_core(number, scheme)
        except SupplyNumberError as fault:
            said = str(fault)
            if scheme == GREAT_BRITAIN and sum(sign.isdigit() for sign in number) == 11:
                said += "; with 11 digits it is of Northern Ireland or Ireland: choose that kind"
            raise ValidationError(said, code="number") from None
        return number


class SupplyForm(SheetForm):
    """The supply as it stands, or as the design changes it."""

    called = "Supply"
    phases = WholeChoiceBox("Phases of the supply", SUPPLY_PHASES)
    cutout_a = QuantityBox("Cut-out", "A", beside="A", low=30, high=400)
    earthing = ChoiceBox("Earthing", EARTHING)
    looped = YesNoBox("Looped service", yes="yes", no="no", hint="cable shared with a neighbour")
    nominal_v = QuantityBox(
        "Nominal voltage, phase to neutral", "V", beside="V", low=200, high=260, hint="empty: 230 V"
    )
    voltage_level = ChoiceBox("Voltage level", LEVELS, nothing="taken as low voltage")
    import_capacity_va = QuantityBox(
        "Agreed import capacity", "VA", beside="kVA", low=1_000, high=5_000_000, zero=True
    )
    export_capacity_va = QuantityBox(
        "Agreed export capacity", "VA", beside="kVA", low=1_000, high=5_000_000, zero=True
    )
    loop_impedance_uohm = QuantityBox(
        "Loop impedance", "uohm", beside="ohm", low=5_000, high=3_000_000
    )
    prospective_fault_a = QuantityBox(
        "Prospective fault current", "A", beside="A", low=100, high=50_000
    )
    voltage_optimiser = YesNoBox("Voltage optimiser ahead of the plant")
    layout = Layout(
        Boxes("phases", "cutout_a", "earthing", "looped"),
        More(
            "nominal_v",
            "voltage_level",
            "import_capacity_va",
            "export_capacity_va",
            "loop_impedance_uohm",
            "prospective_fault_a",
            "voltage_optimiser",
            title="More about the supply",
        ),
    )


class ChangedSupplyForm(SupplyForm):
    """The supply as the design changes it: everything is said again, or nothing."""

    called = "Changed supply"
    changes = TickBox("This design changes the supply")
    layout = Layout(Boxes("changes"), *SupplyForm.layout.fields)

    @property
    def counts(self) -> bool:
        """Whether the design changes the supply."""
        return bool(self.typed("changes").text)


class NearbyForm(SheetForm):
    """Other work of the firm near by."""

    called = "Near by"
    nearby = ChoiceBox(
        "Other premises of ours near by",
        NEARBY,
        nothing="not asked yet",
        width="long",
        hint="where we fitted or plan plant inside the distance and days of the rules",
    )
    nearby_premises = CountBox("How many", low=1, high=50, width="short")
    layout = Layout(Boxes("nearby", "nearby_premises"))

    def clean_nearby_premises(self) -> Any:
        """The number goes with "yes" only."""
        number = self.cleaned_data["nearby_premises"]
        said = self.cleaned_data.get("nearby")
        if said == "some" and number is None:
            raise ValidationError("say how many", code="needed")
        if number is not None and said != "some":
            raise ValidationError(
                'choose "yes, this many" beside this, or take the number out', code="number"
            )
        return number
