"""Form of a cap on export."""

import re
from typing import Unpack

from django import forms

from connections.facts.canonical import digest
from connections.rulebook.reading.caps import CAP_UNITS
from sites.house.boxes.amount_field import WrittenAmountField
from sites.house.boxes.amounts import Written
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.rulebook.forms.boxes import lines, select_box, sentence, words_box
from sites.rulebook.forms.entry_form import EntryForm


class CapForm(EntryForm):
    """A cap on export for a feeder or a postcode sector."""

    kind = "export-cap"
    own = ("feeders", "postcode_sectors", "everywhere", "limit", "per", "says")

    feeders = words_box(
        "Feeders", hint="One a line, as the network operator names them.", rows=2, longest=4000
    )
    postcode_sectors = words_box(
        "Postcode sectors", hint="One a line, such as EX1 1.", rows=2, longest=4000
    )
    everywhere = forms.BooleanField(label="Every site of the area", required=False)
    limit = WrittenAmountField(
        CAP_UNITS,
        label="Cap",
        needed="Give the cap.",
        help_text="With its unit, such as 5 kW, 16 A or 3.68 kVA.",
    )
    per = select_box(
        "The cap is",
        [("", "choose"), ("total", "for all phases together"), ("phase", "for each phase")],
        "Say whether it is for each phase.",
    )
    says = words_box(
        "What the operator says, in one sentence",
        "Say in one sentence what the operator says.",
        "It stands in findings and packs.",
    )

    def __init__(
        self, data: Sent = None, files: SentFiles = None, **more: Unpack[FormArguments]
    ) -> None:
        super().__init__(data, files, **more)
        self.for_an_area("Feeders have their names from one network operator.")
        self.fields["everywhere"].widget.attrs["class"] = "form-check-input"

    def clean_says(self) -> str:
        """Return the sentence with its full stop."""
        return sentence(self.cleaned_data["says"])

    def clean(self) -> dict[str, object]:
        """Require a place; refuse a current as a total for all phases."""
        cleaned = super().clean()
        named = any(lines(str(cleaned.get(name) or "")) for name in ("feeders", "postcode_sectors"))
        if not named and not cleaned.get("everywhere"):
            self.add_error("feeders", "Name a feeder or a postcode sector, or tick every site.")
        if named and cleaned.get("everywhere"):
            self.add_error("everywhere", "Untick this, or take feeders and sectors out.")
        limit = cleaned.get("limit")
        if cleaned.get("per") == "total" and isinstance(limit, Written) and limit.unit == "mA":
            self.add_error("per", "A current is for each phase; choose that, or give a power.")
        return cleaned

    def about(self) -> str:
        """Return an id made of the first place and of `per`."""
        data = self.cleaned_data
        places = [*lines(data["feeders"]), *lines(data["postcode_sectors"])]
        first = re.sub(r"[^a-z0-9]+", "-", (places or ["every-site"])[0].lower()).strip("-")[:40]
        more = digest(places)[:4] if len(places) > 1 or not first else ""
        return "-".join(part for part in (first.strip("-"), more, data["per"]) if part)

    def content(self) -> dict[str, object]:
        """Return the keys of the cap as a local file has them."""
        data = self.cleaned_data
        limit: Written = data["limit"]
        found: dict[str, object] = {"says": data["says"]}
        for name in ("feeders", "postcode_sectors"):
            if named := lines(data[name]):
                found[name] = named
        if data["everywhere"]:
            found["everywhere"] = True
        return {**found, "limit": limit.text, "unit": limit.unit, "per": data["per"]}
