"""Boxes that every local entry has; turns a valid form into an entry of a local file."""

import re
from typing import Unpack

from django import forms
from django.utils import timezone

from connections.facts.canonical import digest
from connections.rulebook.load import load_books
from connections.rulebook.local_text import Entry, EntryKind
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import LOCAL_CERTAINTIES
from sites.house.boxes.fault_summary import Fault, faults_of
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.rulebook.forms.boxes import day_box, select_box, sentence, words_box
from sites.rulebook.writing.local_entries import LONGEST_REASON

_KINDS = (
    ("letter", "Letter or e-mail"),
    ("guidance", "Guidance of the operator"),
    ("notice", "Notice"),
    ("form", "Form"),
    ("recommendation", "Recommendation"),
    ("regulation", "Regulation"),
    ("standard", "Standard"),
    ("practice", "Practice, nothing in writing"),
    ("memory", "Memory, nothing in writing"),
)
_CERTAINTIES = {
    "local": "In writing, from the operator or in a document",
    "secondary": "From an account of somebody else",
    "common practice": "Common practice",
    "from memory": "From memory",
}
_FIELD = re.compile(r"`(\w+)`")


def area_choices() -> list[tuple[str, str]]:
    """Return the whole firm and every licence area."""
    areas = [(area.id, f"{area.name} ({area.id})") for area in load_books().areas]
    return [("", "The whole firm, every area"), *areas]


class EntryForm(forms.Form):
    """Boxes that every entry has; the form of each kind puts its own boxes before them."""

    kind: EntryKind
    own: tuple[str, ...] = ()
    """The boxes of this kind of entry, in order."""
    _boxes_of: dict[str, str] = {}  # noqa: RUF012 (read only)
    """Maps keys of the local file to boxes that have another name."""

    area = select_box("For", [], hint="An entry for an area lies above one for the whole firm.")
    since = day_box("Holds from", "Give the first day on which it holds.")
    until = day_box("Until", hint="The last day, if it is known; empty: until it is ended.")
    title = words_box(
        "Document",
        "Name the document that says so.",
        "Such as: Letter of 3 July 2026.",
        longest=200,
    )
    document_kind = select_box("Kind of document", _KINDS, "Choose what the document is.")
    clause = words_box(
        "Place in it", hint="Page, section or reference, if it has one.", longest=200
    )
    certainty = select_box(
        "How sure it is", [(word, _CERTAINTIES[word]) for word in LOCAL_CERTAINTIES], "Choose one."
    )
    note = words_box("Note", hint="One sentence, if something should be known about it.")
    reason = words_box(
        "Why it is entered",
        "Say why this is entered.",
        "Kept with the entry and your name.",
        rows=2,
        longest=LONGEST_REASON,
    )
    parts: tuple[tuple[str, tuple[str, ...]], ...] = (
        ("Where and when", ("area", "since", "until")),
        ("Where it is from", ("title", "document_kind", "clause", "certainty", "note")),
        ("", ("reason",)),
    )
    """Boxes of every entry: for each part its title and boxes."""

    def __init__(
        self, data: Sent = None, files: SentFiles = None, **more: Unpack[FormArguments]
    ) -> None:
        super().__init__(data, files, **more)
        self._areas.choices = area_choices()
        self.put_in_order()

    @property
    def _areas(self) -> forms.ChoiceField:
        box = self.fields["area"]
        assert isinstance(box, forms.ChoiceField)
        return box

    def own_parts(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Return the boxes of this kind of entry, in the form of `parts`."""
        return (("", self.own),)

    def put_in_order(self) -> None:
        """Order the boxes, and with them the faults, as the page shows them."""
        self.order_fields([name for _, names in self._all_parts() for name in names])

    def sections(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the title and boxes of each part, in the order of the page."""
        return [(title, [self[name] for name in names]) for title, names in self._all_parts()]

    def for_an_area(self, why: str) -> None:
        """Require a licence area; `why` becomes the hint."""
        areas = self._areas
        areas.choices = [("", "choose"), *area_choices()[1:]]
        areas.required = True
        areas.help_text = why
        areas.error_messages["required"] = "Choose the licence area that it is for."

    def _all_parts(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        return (*self.own_parts(), *self.parts)

    def clean_note(self) -> str:
        """Return the note with its full stop."""
        return sentence(self.cleaned_data["note"])

    def clean(self) -> dict[str, object]:
        """Refuse a last day before the first one."""
        cleaned = super().clean() or self.cleaned_data
        since, until = cleaned.get("since"), cleaned.get("until")
        if since and until and until < since:
            self.add_error("until", "This lies before the first day; give a later one.")
        return cleaned

    def about(self) -> str:
        """Return the key of the value, or the id of the cap or condition."""
        raise NotImplementedError

    def content(self) -> dict[str, object]:
        """Return the keys that only this kind of entry has in a local file."""
        raise NotImplementedError

    def entry(self) -> Entry:
        """Return the entry as typed; the form must be valid."""
        data = self.cleaned_data
        title = " ".join(data["title"].split())
        source = {"title": title, "kind": data["document_kind"], "has_clauses": False}
        slug = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40].strip("-")
        return Entry(
            kind=self.kind,
            about=self.about(),
            content={**self.content(), "checked": timezone.localdate().isoformat()},
            document="-".join(part for part in ("local", slug, digest(source)[:8]) if part),
            source=source,
            clause=" ".join(data["clause"].split()),
            certainty=data["certainty"],
            note=data["note"],
            since=data["since"],
            until=data["until"],
        )

    def take(self, fault: RulebookError) -> None:
        """Show a fault that the rulebook's loader found, at its box or at the head of the form."""
        named = _FIELD.search(fault.fault)
        field = self._boxes_of.get(named[1], named[1]) if named else ""
        place = re.search(r": when (\d+)", fault.key)
        if place:
            field = f"against_{place[1]}"
        said = fault.fault[:1].upper() + fault.fault[1:]
        if "end that first" in said:
            field = "since"
        self.add_error(field if field in self.fields else None, f"{said}.")

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return faults_of(self)
