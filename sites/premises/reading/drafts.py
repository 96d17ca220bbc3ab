"""What a person typed on a page and has not saved yet."""

from uuid import UUID

from sites.people.models import Person
from sites.premises.models import Draft

NEW_PREMISES = "premises/new"


def sheet_page(design_key: UUID) -> str:
    """The name under which the sheet of a design is kept."""
    return f"sheet/{design_key}"


def draft_of(person: Person, page: str) -> Draft | None:
    """The draft of a page, or None where nothing is waiting to be saved."""
    return Draft.objects.filter(person=person, page=page).first()
