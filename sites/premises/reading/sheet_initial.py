"""Finds the firm for a new sheet, and the person who saved a sheet last."""

from uuid import UUID

from sites.house.models import Event
from sites.people.models import Firm


def firm() -> Firm | None:
    """Return the installing firm, if its details are entered."""
    return Firm.objects.order_by("pk").first()


def last_saved(premises_key: UUID) -> Event | None:
    """Return the last event of a premises that changed its sheets."""
    return (
        Event.objects.filter(
            subject_key=premises_key,
            act__in=("premises.created", "premises.saved", "design.copied", "design.chosen"),
        )
        .order_by("-at", "-pk")
        .first()
    )
