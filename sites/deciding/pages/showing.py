"""Page of a survey sheet, for a saved sheet, a draft or a conflict."""

import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models.functions import Lower
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from sites.catalogue.models import Equipment
from sites.deciding.reading.panel import Panel, panel_of
from sites.house.boxes.choices import SUGGESTIONS
from sites.house.boxes.sheet_form import Fault, Rows
from sites.house.models import Event
from sites.people.fetching import person_of
from sites.premises.forms.conflict import Difference
from sites.premises.forms.plant import UnitForm
from sites.premises.forms.posted import DOUBLE, MODEL
from sites.premises.forms.premises import PremisesForm
from sites.premises.forms.sheet import Sheet, called
from sites.premises.models import Design, Draft, Premises
from sites.premises.reading.doubles import Alike
from sites.premises.words.doubles import words_of
from sites.premises.writing.sheet import Seen


@dataclass(frozen=True)
class Group:
    """Rows of one kind, as the page shows them."""

    rows: Rows
    title: str
    add: str
    empty: str
    folded: bool = False

    @property
    def name(self) -> str:
        """The name of the group."""
        return str(self.rows.prefix)

    @property
    def of_units(self) -> bool:
        """Whether the rows are units, which can take the values of a catalogue model."""
        return issubclass(self.rows.form, UnitForm)

    @property
    def is_open(self) -> bool:
        """Whether a folded group starts open: it has rows or a message."""
        return bool(self.rows.forms) or bool(self.rows.refusal)


@dataclass(frozen=True)
class Part:
    """Existing plant, or proposed plant."""

    name: str
    title: str
    says: str
    groups: tuple[Group, ...]
    limits: tuple[tuple[str, Any], ...]

    @property
    def limits_open(self) -> bool:
        """Whether a limit is stated."""
        return any(not form.is_blank for _title, form in self.limits)


@dataclass(frozen=True)
class ShownDouble:
    """A premises like this one, and what was answered about it so far: same, differs or nothing."""

    premises: Premises
    by_number: bool
    answer: str

    @property
    def name(self) -> str:
        """The name of the answer's boxes."""
        return f"{DOUBLE}{self.premises.key}"

    @property
    def fault(self) -> Fault:
        """The question in the summary of faults."""
        says = f"{words_of(self.by_number)}; say whether it is the same supply"
        return Fault(f"double-{self.premises.key}-same", str(self.premises), says)


def asked_of(
    found: Iterable[Alike], said: Mapping[UUID, bool]
) -> tuple[tuple[ShownDouble, ...], list[Fault]]:
    """The premises to ask about, and the questions without an answer."""
    words = {True: "same", False: "differs", None: ""}
    shown = tuple(
        ShownDouble(each.premises, each.by_number, words[said.get(each.premises.key)])
        for each in found
        if each.same is None
    )
    return shown, [each.fault for each in shown if not each.answer]


@dataclass
class SheetPage:
    """A survey sheet for its page; `design` is None for a new premises."""

    sheet: Sheet
    design: Design | None
    seen: Seen
    visit: str = ""
    draft: Draft | None = None
    faults: tuple[Fault, ...] = ()
    differences: tuple[Difference, ...] = ()
    against: Seen | None = None
    theirs: Event | None = None
    doubles: tuple[ShownDouble, ...] = ()
    thrown: Draft | None = None
    like: Design | None = None

    def __post_init__(self) -> None:
        """Give a page without a visit a new one."""
        self.visit = self.visit or secrets.token_urlsafe(12)

    @property
    def panel_address(self) -> str:
        """The address that takes what is typed and answers with the panel."""
        if self.design is None:
            return reverse("new-panel")
        return reverse("design-panel", args=[self.design.key])

    @property
    def drop_address(self) -> str:
        """The address that drops what was typed."""
        if self.design is None:
            return reverse("new-draft-drop")
        return reverse("draft-drop", args=[self.design.key])

    @property
    def numbers(self) -> Group:
        """The supply numbers."""
        return Group(self.sheet.groups["numbers"], "Supply numbers", "Add a supply number", "")

    @property
    def caps(self) -> Group:
        """The operator's answers."""
        return Group(
            self.sheet.groups["caps"],
            "The operator's answer",
            "Add an answer",
            "Nothing has been answered yet.",
        )

    @property
    def overrides(self) -> Group:
        """An engineer's overrides of defaults."""
        return Group(
            self.sheet.groups["overrides"], "An engineer's own figures", "Add a figure", ""
        )

    @property
    def parts(self) -> tuple[Part, Part]:
        """Existing and proposed plant."""
        return (
            self._part(
                "existing",
                "What is there",
                "Plant that runs on this supply today. Whatever stands behind the same supply "
                "number counts, whoever fitted it.",
                {
                    "units": ("Units", "Add a unit that is there", "No unit is there."),
                    "arrays": ("Panels", "Add panels", "No panels are there."),
                    "cells": ("Storage cells", "Add cells", "No cells are there."),
                },
            ),
            self._part(
                "proposed",
                "What is proposed",
                "What this design adds. A storage system with its own inverter is a unit; cells "
                "behind a PV inverter are not.",
                {
                    "units": ("Units", "Add a unit", "No unit is proposed yet."),
                    "arrays": ("Panels", "Add panels", "No panels are proposed."),
                    "cells": ("Storage cells", "Add cells", "No cells are proposed."),
                },
            ),
        )

    def _part(
        self, part: str, title: str, says: str, words: dict[str, tuple[str, str, str]]
    ) -> Part:
        folded = {
            "boards": ("Boards", "Add a board", ""),
            "protection": ("Protective devices", "Add a device", ""),
            "cables": ("Cables", "Add a cable", ""),
            "loads": ("Large loads", "Add a load", ""),
            "clamps": ("Current clamps (CTs)", "Add a clamp", ""),
        }
        return Part(
            part,
            title,
            says,
            tuple(
                Group(self.sheet.groups[f"{part}-{name}"], *said, folded=name in folded)
                for name, said in {**words, **folded}.items()
            ),
            tuple(
                (called(f"{part}-{on}"), self.sheet.forms[f"{part}-{on}"])
                for on in ("export", "import")
            ),
        )


def show(request: HttpRequest, page: SheetPage, *, status: int = 200) -> HttpResponse:
    """Show the page with its panel; `page.faults` decides which messages the boxes show."""
    page.sheet.show("all" if page.faults else "unreadable" if page.draft else "nothing")
    panel: Panel = panel_of(page.sheet)
    premises = page.sheet.forms["premises"]
    if panel.area_option:
        premises.nothings["licence_area"] = panel.area_option
    if isinstance(premises, PremisesForm):
        premises.asks_island = panel.asks_island
    engineer = person_of(request).is_engineer
    context = {
        "page": page,
        "sheet": page.sheet,
        "forms": page.sheet.forms,
        "panel": panel,
        "faults": page.faults,
        "both": [each for each in page.differences if each.who in ("both", "unknown")],
        "they": [each for each in page.differences if each.who == "they"],
        "you": [each for each in page.differences if each.who == "you"],
        "suggestions": SUGGESTIONS,
        "models": list(Equipment.objects.order_by(Lower("maker"), Lower("model"), "pk")),
        "model_name": MODEL,
        "may_override": engineer,
        "figures_closed": not engineer,
    }
    return render(request, "deciding/sheet.html", context, status=status)
