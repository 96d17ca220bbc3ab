"""First half of the sheet: the case, its parties, the premises and the supply."""

from functools import cache
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.safestring import SafeString

from connections.facts import site as facts
from connections.facts.declaring import Choices
from connections.facts.supply_number import GREAT_BRITAIN, SupplyNumberError, read_core
from connections.rulebook.load import load_books
from sites.house.boxes.choices import NEARBY
from sites.house.boxes.fields import (
    ChoiceBox,
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
    """Return id and name of each licence area; reads the rulebook's files once."""
    return tuple((area.id, area.name) for area in load_books().areas if not area.independent)


class CaseForm(SheetForm):
    """What the case is called and when the work is planned."""

    reference = WordsBox.of(
        facts.Site,
        "reference",
        width="long",
        required=True,
        needed="give the case a reference of your own; it stands on everything that is sent",
    )
    planned_on = DayBox.of(facts.Site, "planned_on", back=1, ahead=5)
    on_date = DayBox.of(facts.Site, "on_date", back=3, ahead=3)
    layout = Layout(Boxes("reference", "planned_on"), More("on_date"))


class PartyForm(SheetForm):
    """A person or firm of the case. Personal data."""

    name = WordsBox.of(facts.Party, "name", width="long")
    role = WordsBox.of(facts.Party, "role", suggestions="roles")
    phone = WordsBox.of(facts.Party, "phone", longest=50)
    email = EmailBox.of(facts.Party, "email", longest=254, width="long")
    address_lines = LinesBox.of(facts.Party, "address_lines", width="long")
    registration = WordsBox.of(facts.Party, "registration")


class CustomerForm(PartyForm):
    """The customer."""

    called = "Customer"
    layout = Layout(
        Boxes("name", "email", "phone"),
        More("role", "address_lines", "registration", title="More about the customer"),
    )


class ApplicantForm(PartyForm):
    """The applicant, if neither the customer nor the installer."""

    called = "Applicant"
    layout = Layout(Boxes("name", "email", "phone", "role", "registration", "address_lines"))


class InstallerForm(PartyForm):
    """The installer, filled in from the firm's details."""

    called = "Installer"
    layout = Layout(Boxes("name", "email", "phone", "role", "registration", "address_lines"))


class PremisesForm(SheetForm):
    """Where the plant stands."""

    called = "Premises"
    name = WordsBox.of(facts.Premises, "name")
    address_lines = LinesBox.of(facts.Premises, "address_lines", width="long")
    postcode = PostcodeBox.of(facts.Premises, "postcode", longest=20, width="short")
    nation = ChoiceBox.of(facts.Premises, "nation")
    licence_area = ChoiceBox.of(
        facts.Premises,
        "licence_area",
        choices=licence_areas,
        nothing="as the supply number says",
        width="long",
    )
    owner_consent = YesNoBox.of(facts.Parties, "owner_consent")
    metering = WordsBox.of(facts.Premises, "metering", width="long")
    feeder = WordsBox.of(facts.Premises, "feeder")
    island = YesNoBox.of(facts.Premises, "island")
    access = WordsBox.of(facts.Premises, "access", width="long")
    easting = CountBox.of(facts.Premises, "easting")
    northing = CountBox.of(facts.Premises, "northing")
    grid = ChoiceBox.of(facts.Premises, "grid")
    assessed_demand_va = QuantityBox.of(facts.Loads, "assessed_demand_va")
    loads_measured = YesNoBox.of(facts.Loads, "measured")
    assumed_voltage_mv = QuantityBox.of(facts.Network, "assumed_voltage_mv")
    asks_island = False
    """Whether the rules of the area tell islands apart; elsewhere that box is folded away."""
    layout = Layout(
        Boxes("address_lines", "postcode", "nation", "owner_consent"),
        More(
            "name",
            "access",
            "metering",
            "feeder",
            "easting",
            "northing",
            "grid",
            "assessed_demand_va",
            "loads_measured",
            "assumed_voltage_mv",
            "island",
            title="More about the premises",
        ),
    )
    layout_asking = Layout(
        layout.fields[0], More(*layout.fields[1].fields[:-1], title=layout.fields[1].title)
    )

    @property
    def html(self) -> SafeString:
        """HTML of the boxes."""
        return SafeString(
            (self.layout_asking if self.asks_island else self.layout).render(self, {})
        )

    @property
    def area_html(self) -> SafeString:
        """The box of the licence area, placed after the supply numbers that determine it."""
        names = ("licence_area", "island") if self.asks_island else ("licence_area",)
        return SafeString(Layout(Boxes(*names)).render(self, {}))


class NumberForm(RowForm):
    """A supply number."""

    noun = "Supply number"
    defaults = {"use": "import", "scheme": GREAT_BRITAIN}  # noqa: RUF012 (read only)
    use = ChoiceBox.of(facts.SupplyNumber, "use", nothing="choose", required=True, width="short")
    scheme = ChoiceBox.of(facts.SupplyNumber, "scheme", nothing="choose", required=True)
    value = WordsBox.of(
        facts.SupplyNumber,
        "value",
        longest=60,
        required=True,
        needed="type the number as it stands on the bill",
        width="long",
    )
    layout = Layout(Boxes("value", "use"), More("scheme", title="Another kind of number"))

    def clean_value(self) -> Any:
        """Return the number as typed, with any prefix; refuse a wrong length or check digit."""
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
    """The supply as it is, or as the design changes it."""

    called = "Supply"
    phases = WholeChoiceBox.of(facts.Supply, "phases")
    cutout_a = QuantityBox.of(facts.Supply, "cutout_a")
    earthing = ChoiceBox.of(facts.Supply, "earthing")
    looped = YesNoBox.of(facts.Supply, "looped")
    nominal_v = QuantityBox.of(facts.Supply, "nominal_v")
    voltage_level = ChoiceBox.of(facts.Supply, "voltage_level", nothing="taken as low voltage")
    import_capacity_va = QuantityBox.of(facts.Supply, "import_capacity_va")
    export_capacity_va = QuantityBox.of(facts.Supply, "export_capacity_va")
    loop_impedance_uohm = QuantityBox.of(facts.Supply, "loop_impedance_uohm")
    loop_measured = YesNoBox.of(facts.Supply, "loop_measured")
    line_neutral_uohm = QuantityBox.of(facts.Supply, "line_neutral_uohm")
    prospective_fault_a = QuantityBox.of(facts.Supply, "prospective_fault_a")
    fault_measured = YesNoBox.of(facts.Supply, "fault_measured")
    voltage_optimiser = YesNoBox.of(facts.Supply, "voltage_optimiser")
    layout = Layout(
        Boxes("phases", "cutout_a", "earthing", "looped"),
        More(
            "nominal_v",
            "voltage_level",
            "import_capacity_va",
            "export_capacity_va",
            "loop_impedance_uohm",
            "loop_measured",
            "line_neutral_uohm",
            "prospective_fault_a",
            "fault_measured",
            "voltage_optimiser",
            title="More about the supply",
        ),
    )


class ChangedSupplyForm(SupplyForm):
    """The supply as the design changes it, stated in full or not at all."""

    called = "Changed supply"
    changes = TickBox("This design changes the supply")
    layout = Layout(Boxes("changes"), *SupplyForm.layout.fields)

    @property
    def counts(self) -> bool:
        """Whether the design changes the supply."""
        return bool(self.typed("changes").text)


class NearbyForm(SheetForm):
    """Work of the firm at other premises near by."""

    called = "Near by"
    nearby = ChoiceBox.of(
        facts.Nearby, "premises", choices=NEARBY, nothing="not asked yet", width="long"
    )
    nearby_premises = CountBox.of(
        facts.Nearby, "premises", label="How many", hint="", width="short"
    )
    layout = Layout(Boxes("nearby", "nearby_premises"))

    def clean_nearby_premises(self) -> Any:
        """Require the number with "yes, this many"; refuse it otherwise."""
        number = self.cleaned_data["nearby_premises"]
        said = self.cleaned_data.get("nearby")
        if said == "some" and number is None:
            raise ValidationError("say how many", code="needed")
        if number is not None and said != "some":
            raise ValidationError(
                'choose "yes, this many" beside this, or take the number out', code="number"
            )
        return number
