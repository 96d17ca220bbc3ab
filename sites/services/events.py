"""Writing the audit log, in the transaction of the act itself."""

from typing import Any, Protocol
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from sites.models import Event, Person

ACTS: dict[str, str] = {
    "premises.created": "created the premises",
    "premises.saved": "saved the premises sheet",
    "design.saved": "saved the design",
    "design.copied": "copied the design",
    "design.from-remedy": "made a design from a remedy",
    "design.limited": "made a design with an export limit",
    "design.chosen": "chose the design as the proposal",
    "cap.added": "added a cap that the network operator set",
    "cap.removed": "took out a cap that the network operator set",
    "energy.entered": "entered what the energy year rests on",
    "energy.file-kept": "added a file that the energy year may rest on",
    "energy.asked": "had the energy year of the designs worked out",
    "energy.remedies-asked": "asked what the remedies of a design cost in energy",
    "energy.limits-asked": "had export limits tried in the energy year of a design",
    "energy.limits-stopped": "stopped the trying of export limits",
    "reply.entered": "entered the network operator's answer",
    "reply.taken-back": "took back an answer of the network operator",
    "finding.decided": "decided a finding",
    "finding.asked": "sent a finding back with a question",
    "question.answered": "answered a question",
    "attachment.added": "added an attachment",
    "attachment.taken-out": "took out an attachment",
    "pack.issued": "issued a pack",
    "pack.printed": "printed a pack",
    "pack.print-asked": "asked for a pack to be printed again",
    "pack.print-failed": "could not print a pack",
    "personal.erased": "erased the personal part of a pack",
    "screening.begun": "had all sites looked at again",
    "screening.asked-again": "asked for the rest of the sites to be looked at",
    "rules.looked": "looked at what a change of rules does",
    "local.entered": "entered a local rule",
    "local.ended": "ended a local rule",
    "person.created": "created a person",
    "equipment.added": "added a model to the equipment catalogue",
    "equipment.changed": "changed a model of the equipment catalogue",
    "equipment.taken-out": "took a model out of the equipment catalogue",
    "firm.saved": "saved the firm's details",
}
"""Every act that can be logged, with the words that follow the actor's name."""


class Subject(Protocol):
    """Whatever has a key and says what it is."""

    key: Any


def record(
    act: str, *, by: Person | None, subject: Subject, data: dict[str, Any] | None = None
) -> Event:
    """Log one act. `data` holds no personal values: name the fields that changed, not what is in
    them.

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
        data=data or {},
    )
    event.save()
    return event
