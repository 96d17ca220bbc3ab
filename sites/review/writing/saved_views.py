"""Keeps a person's views of lists. As drafts, they are the person's own and leave no event."""

from django.db import transaction

from sites.house.refusals import RefusedError
from sites.people.models import Person
from sites.review.models import SavedView

MOST_VIEWS = 20
"""Views of one list that a person may have; our own choice."""


@transaction.atomic
def save_view(*, of: str, name: str, asked: str, by: Person) -> SavedView:
    """Keep a view under a name, in place of one of that name. Raises RefusedError at the box."""
    name = " ".join(name.split())
    if not name:
        raise RefusedError("Give the view a name.", "name")
    if len(name) > 60:
        raise RefusedError("Keep the name to 60 characters.", "name")
    if len(asked) > 1000:
        raise RefusedError("This view has too many words; look for fewer.", "name")
    others = SavedView.objects.filter(person=by, of=of).exclude(name=name)
    if others.count() >= MOST_VIEWS:
        raise RefusedError(f"You have {MOST_VIEWS} views; delete one first.", "name")
    view, _new = SavedView.objects.update_or_create(
        person=by, of=of, name=name, defaults={"asked": asked}
    )
    return view


@transaction.atomic
def delete_view(*, view: SavedView, by: Person) -> None:
    """Delete a view of the person's own; another's is left alone."""
    SavedView.objects.filter(pk=view.pk, person=by).delete()
