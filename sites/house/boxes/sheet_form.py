"""Base of the survey sheet's forms: text in, facts out, and rows that may be empty."""

from collections.abc import Iterator
from typing import Any, ClassVar, Literal, NamedTuple
from uuid import UUID

from crispy_forms.layout import Layout
from django import forms
from django.core.exceptions import ValidationError
from django.forms.formsets import BaseFormSet
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from sites.house.boxes.fields import Box, ChoiceBox, HiddenBox, TickBox
from sites.house.boxes.messages import answer_html, message_html
from sites.house.boxes.ticks_box import TicksBox, lines_of
from sites.house.boxes.typed import AskedError, Reading, Typed

MAX_ROWS = 40
"""Rows of one kind on one sheet: our own choice, well above what a home or a small business has."""


class Fault(NamedTuple):
    """A fault at a box: the box, its label, the message, and the readings to choose from."""

    target: str
    label: str
    message: str
    name: str = ""
    text: str = ""
    readings: tuple[Reading, ...] = ()
    needed: bool = False


class SheetForm(forms.Form):
    """A part of the sheet. `called` names it in words ("Customer").

    `defaults` holds the texts of an untouched form, by field. `begins_at` names the box in which
    typing begins when the form comes to the page.
    """

    layout: ClassVar[Layout]
    defaults: ClassVar[dict[str, str]] = {}
    called = ""
    begins_at = ""
    shows: Literal["nothing", "unreadable", "all"] = "nothing"
    """Messages at the boxes: none, on unreadable texts, or also on missing ones."""

    def __init__(self, data: Any, *, prefix: str, called: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("empty_permitted", False)
        kwargs["use_required_attribute"] = False
        super().__init__(data, prefix=prefix, **kwargs)
        self.nothings: dict[str, str] = {}
        self.called = called or self.called

    @classmethod
    def answers(cls, row: Any) -> dict[str, str]:
        """Answers to the questions that `clean` would ask about a saved row, by field."""
        return {}

    @property
    def html(self) -> SafeString:
        """HTML of the boxes."""
        return SafeString(self.layout.render(self, {}))

    @property
    def hidden_html(self) -> SafeString:
        """HTML of the hidden values."""
        return format_html_join(
            "",
            '<input type="hidden" name="{}" value="{}">',
            (
                (self.add_prefix(name), self.typed(name).text)
                for name, box in self.fields.items()
                if isinstance(box, HiddenBox)
            ),
        )

    @property
    def shown_name(self) -> str:
        """Name that the person gave the part, if it has one."""
        return next(
            (
                text
                for name in ("was", "label", "name")
                if name in self.fields and (text := self.typed(name).text.strip())
            ),
            "",
        )

    @property
    def has_message(self) -> bool:
        """Whether a message stands at one of the boxes."""
        return any(self.message(name) for name in self.fields)

    def nothing(self, name: str) -> str:
        """Words in a list of choices where none is chosen."""
        box = self.fields[name]
        return self.nothings.get(name) or (box.nothing if isinstance(box, ChoiceBox) else "")

    def typed(self, name: str) -> Typed:
        """Text of a box, and the answer to its question."""
        full = self.add_prefix(name)
        if isinstance(self.fields[name], TicksBox):
            return Typed(lines_of(self.data, full))
        return Typed(self.data.get(full) or "", self.data.get(f"{full}-meant") or "")

    @property
    def is_blank(self) -> bool:
        """Whether the form holds nothing beyond the texts of an untouched one."""
        for name, box in self.fields.items():
            if not isinstance(box, HiddenBox) and name not in _FURNITURE:
                text = self.typed(name).text.strip()
                if text and text != self.defaults.get(name, ""):
                    return False
        return True

    def fact(self, name: str) -> Any:
        """The fact of a box; that of an empty box where it can't be read."""
        box = self.fields[name]
        empty = box.empty if isinstance(box, Box) else None
        return empty if name in self.errors else self.cleaned_data.get(name, empty)

    def values(self) -> dict[str, Any]:
        """Every fact by field; a box that can't be read counts as empty."""
        return {name: self.fact(name) for name in self.said_names}

    @property
    def said_names(self) -> list[str]:
        """The boxes that say something of the row, unlike those that the page carries along."""
        return [name for name in self.fields if name not in _FURNITURE]

    def target(self, name: str) -> str:
        """The id of a box."""
        return f"id_{self.add_prefix(name)}"

    def faults(self) -> Iterator[Fault]:
        """Faults at the boxes, in their order."""
        for name, box in self.fields.items():
            for error in self.errors.as_data().get(name, ()):
                label = str(box.label)
                asked = error if isinstance(error, AskedError) else None
                yield Fault(
                    target=self.target(name),
                    label=f"{self.called}, {label.lower()}" if self.called else label,
                    message=" ".join(error.messages),
                    name=self.add_prefix(name),
                    text=asked.text if asked else "",
                    readings=asked.readings if asked else (),
                    needed=error.code == "needed",
                )

    def message(self, name: str) -> SafeString:
        """The message at a box as HTML: its fault, or the answer given to its question."""
        typed = self.typed(name)
        full = self.add_prefix(name)
        if self.shows != "nothing":
            for error in self.errors.as_data().get(name, ()):
                if error.code == "needed" and self.shows != "all":
                    continue
                asked = error if isinstance(error, AskedError) else None
                return message_html(
                    full,
                    " ".join(error.messages),
                    asked.text if asked else "",
                    asked.readings if asked else (),
                )
        if self.is_answered(name):
            words = typed.meant.removeprefix(f"{typed.text.strip()} = ")
            return answer_html(full, typed.meant, words)
        return SafeString("")

    def is_answered(self, name: str) -> bool:
        """Whether the question about a box's present text has been answered."""
        typed = self.typed(name)
        text = typed.text.strip()
        return bool(text) and typed.meant.startswith(f"{text} = ")

    def complain(self, name: str, message: str, code: str = "") -> None:
        """Note a fault at a box, after all parts of the sheet were read."""
        self.add_error(name, ValidationError(message, code=code))


_FURNITURE = frozenset({"key", "gone", "was"})


class RowForm(SheetForm):
    """One of several like rows: may be empty, and may be taken out with a tick."""

    noun: ClassVar[str] = "Row"
    key = HiddenBox("Key")
    gone = TickBox("Take out")

    def full_clean(self) -> None:
        """Skip the checks of a row that is empty or taken out."""
        if self.is_gone or self.is_blank:
            self._errors = forms.utils.ErrorDict()
            self.cleaned_data = {}
            return
        super().full_clean()

    @property
    def is_gone(self) -> bool:
        """Whether the tick that takes the row out is set."""
        return bool(self.typed("gone").text)

    @property
    def counts(self) -> bool:
        """Whether the row is filled and not taken out."""
        return not self.is_gone and not self.is_blank

    def saved_key(self) -> UUID | None:
        """Key of the saved row that this one shows, as posted; None without one."""
        try:
            return UUID(self.typed("key").text)
        except ValueError:
            return None


class Rows(BaseFormSet):  # type: ignore[type-arg]
    """Rows of one kind. A sheet with more than MAX_ROWS of them is refused before any is built."""

    form: type[RowForm]
    min_num = 0
    extra = 0
    max_num = absolute_max = MAX_ROWS
    can_order = can_delete = False
    validate_max = True
    validate_min = False
    edit_only = False
    complaint = ""
    """What is wrong with the rows together, noted after all of them were read."""
    renderer = forms.renderers.DjangoTemplates()

    def __init__(self, form: type[RowForm], data: Any, *, prefix: str, called: str = "") -> None:
        self.form = form
        self.called = called
        super().__init__(data, prefix=prefix)

    def total_form_count(self) -> int:
        """Posted number of rows; 0 where it is no number or too many."""
        return 0 if self.refusal else self.typed_count

    def initial_form_count(self) -> int:
        """0, since saved rows carry a key; their place in the list says nothing."""
        return 0

    @property
    def typed_count(self) -> int:
        """Posted number of rows; a huge one where it is no number."""
        text = (self.data.get(f"{self.prefix}-TOTAL_FORMS") or "0").strip()
        return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 10**9

    @property
    def refusal(self) -> str:
        """Reason why the rows were not read, or empty."""
        if self.typed_count <= MAX_ROWS:
            return ""
        return (
            f"A sheet can hold {MAX_ROWS} rows of one kind; put like units, panels or devices "
            "together in one row with their number, or use a second premises"
        )

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        """Name each row by its number, from one."""
        number = (index or 0) + 1
        return {"called": f"{self.called} {number}", "empty_permitted": False}

    @property
    def said(self) -> list[RowForm]:
        """The rows that are filled and not taken out."""
        return [form for form in self.forms if form.counts]
