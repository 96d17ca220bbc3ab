"""Write the audit log, in the transaction of the act itself."""

from collections.abc import Mapping
from typing import Protocol
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from sites.house.acts import ACTS
from sites.house.models import Event


class Actor(Protocol):
    """The actor: has a key, and its text is a name."""

    @property
    def key(self) -> UUID:
        """By which a row names it."""


class Subject(Protocol):
    """The subject of an act: has a key and a text."""

    @property
    def key(self) -> UUID:
        """By which a row names it."""


def record(
    act: str, *, by: Actor | None, subject: Subject, data: Mapping[str, object] | None = None
) -> Event:
    """Log one act. `data` holds no personal values: name changed fields, not their content.

    Raises ValueError for an act that is not in ACTS, and RuntimeError outside a transaction, since
    an act and its event are committed together.
    """
    if act not in ACTS:
        raise ValueError(f"{act} is not an act that can be logged; add it to ACTS")
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("an event is recorded in the transaction of its act")
    key: UUID = subject.key
    event = Event(
        at=timezone.now(),
        act=act,
        actor=str(by) if by else "Meterside",
        actor_key=by.key if by else None,
        subject_kind=type(subject).__name__,
        subject_key=key,
        subject=str(subject)[:300],
        data=dict(data or {}),
    )
    event.save()
    return event
