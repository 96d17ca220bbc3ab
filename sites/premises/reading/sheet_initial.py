"""What a sheet begins with: the firm, and who saved it last."""

from uuid import UUID

from sites.house.models import Event
from sites.people.models import Firm


def firm() -> Firm | None:
    """The installing firm, if its details have been entered."""
    return Firm.objects.order_by("pk").first()


def last_saved(premises_key: UUID) -> Event | None:
    """The last event of a premises that changed what its sheets show."""
    return (
        Event.objects.filter(
            subject_key=premises_key,
            act__in=("premises.created", "premises.saved", "design.copied", "design.chosen"),
        )
        .order_by("-at", "-pk")
        .first()
    )
