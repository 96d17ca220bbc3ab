"""Form of the values that an engineer has read."""

from collections.abc import Iterable
from typing import Unpack

from django import forms
from django.http import QueryDict

from sites.house.boxes.fault_summary import Fault, faults_of
from sites.house.form_arguments import FormArguments
from sites.review.reading.values import DocumentToRead, UnreadValue
from sites.rulebook.writing.readings import ReadInDocument


class ReadForm(forms.Form):
    """One tick a value: read in the document, and it agrees."""

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        documents: Iterable[DocumentToRead],
        **more: Unpack[FormArguments],
    ) -> None:
        super().__init__(data, **more)
        self._ticked = tuple(data.getlist("read")) if data is not None else ()
        self._there: dict[str, tuple[DocumentToRead, UnreadValue]] = {
            value.mark: (document, value)
            for document in documents
            if document.is_one
            for value in document.values
        }
        self.fields["read"] = forms.MultipleChoiceField(
            label="Read, agrees",
            choices=[(mark, mark) for mark in self._there],
            error_messages={
                "required": "Tick the values that you have read.",
                "invalid_choice": "A value that you ticked has changed or is no longer used. "
                "Look at what stands here now, and tick again.",
            },
        )

    @property
    def ticked(self) -> tuple[str, ...]:
        """The marks as sent, to show them again."""
        return self._ticked

    def values(self) -> list[ReadInDocument]:
        """Return the values ticked; the form must be valid."""
        found = [self._there[mark] for mark in self.cleaned_data["read"]]
        return [ReadInDocument(value.name, doc.title, value.amount) for doc, value in found]

    def faults(self) -> list[Fault]:
        """Return the faults, at the first tick."""
        return [Fault("values-read", fault.label, fault.message) for fault in faults_of(self)]
