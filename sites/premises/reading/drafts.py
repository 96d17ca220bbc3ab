"""Finds drafts: text typed on a page and not saved yet."""

from uuid import UUID

from sites.people.models import Person
from sites.premises.models import Draft

NEW_PREMISES = "premises/new"


def sheet_page(design_key: UUID) -> str:
    """Return the name under which drafts keep the sheet of a design."""
    return f"sheet/{design_key}"


def draft_of(person: Person, page: str) -> Draft | None:
    """Return the draft of a page, or None if there is none."""
    return Draft.objects.filter(person=person, page=page).first()
