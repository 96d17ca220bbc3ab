"""Stores the files of the form of energy years, or reports a fault at the box.

Keeps a readable file even if another box is at fault, so that nobody uploads it twice.
"""

from sites.energy.forms.inputs import KINDS, EnergyForm
from sites.energy.reading.files import Kind, file_of
from sites.energy.writing.files import keep_file, read_again
from sites.house.refusals import RefusedError
from sites.people.models import Person
from sites.premises.models import Premises

_AGAIN = "Then choose it again: a browser does not send a file twice by itself."


def take_files(form: EnergyForm, premises: Premises, by: Person) -> None:
    """Store each file of a validated form, and report faults at its box."""
    for kind in KINDS:
        if f"{kind}_file" in form.errors:
            continue
        try:
            if form.cleaned_data.get(f"{kind}_file"):
                _take_new(form, kind, premises, by)
            elif form.kept_key(kind) is not None:
                _take_kept(form, kind, premises, by)
        except RefusedError as refused:
            form.refuse(refused)


def _take_new(form: EnergyForm, kind: Kind, premises: Premises, by: Person) -> None:
    file = form.cleaned_data[f"{kind}_file"]
    how = form.how(kind)
    if how is None:
        form.add_error(f"{kind}_clock", "Pick by which clock the times of the file go.")
        raise RefusedError(f"It was not read for want of its clock. Pick it. {_AGAIN}",
                           f"{kind}_file")  # fmt: skip
    region = form.picked_region()
    try:
        kept = keep_file(
            premises=premises,
            kind=kind,
            name=file.name or "",
            content=file.read(),
            how=how,
            region=region or 0,
            by=by,
        )
    except RefusedError as refused:
        raise RefusedError(f"{file.name}: {refused.message} {_AGAIN}", refused.field) from None
    form.take(kind, kept)


def _take_kept(form: EnergyForm, kind: Kind, premises: Premises, by: Person) -> None:
    kept = file_of(premises, kind, form.kept_key(kind))
    if kept is None:
        # `enter_inputs` reports it, once the rest is right.
        return
    how = form.how_kept(kind, kept)
    region = form.picked_region()
    if kind == "irradiance" and region is None:
        return
    form.take(kind, read_again(file=kept, how=how, region=region or 0, by=by))
