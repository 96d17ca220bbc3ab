"""Boxes of whom a case is given to, and of handing all cases of a person over."""

from django import forms
from django.http import QueryDict

from sites.cases.models import Case
from sites.people.models import INSTALLER, Person

_SELECT = {"class": "form-select"}


class InstallerForm(forms.Form):
    """The installer that a case is given to."""

    installer = forms.ModelChoiceField(
        Person.objects.none(),
        label="Installer",
        empty_label="Nobody",
        required=False,
        help_text="Sees this case, and of all others only those given in the same way.",
        widget=forms.Select(attrs=_SELECT),
    )

    def __init__(self, typed: QueryDict | None, *, case: Case) -> None:
        super().__init__(typed, initial={"installer": case.installer_id})
        box = self.fields["installer"]
        assert isinstance(box, forms.ModelChoiceField)
        able = Person.objects.filter(is_active=True, roles__key=INSTALLER)
        box.queryset = able.order_by("name", "pk")


class HandOverForm(forms.Form):
    """To whom all cases of a person go."""

    to = forms.ModelChoiceField(
        Person.objects.none(),
        label="Hand over to",
        empty_label="Choose a person",
        widget=forms.Select(attrs=_SELECT),
        error_messages={"required": "Choose a person.", "invalid_choice": "Choose a person."},
    )

    def __init__(self, typed: QueryDict | None, *, of: Person) -> None:
        super().__init__(typed)
        box = self.fields["to"]
        assert isinstance(box, forms.ModelChoiceField)
        active = Person.objects.filter(is_active=True).exclude(pk=of.pk)
        box.queryset = active.order_by("name", "pk")
