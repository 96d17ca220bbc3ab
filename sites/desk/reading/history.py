"""The audit log of one premises, in sentences."""

from uuid import UUID

from django.db.models import QuerySet

from sites.cases.models import Case
from sites.house.acts import ACTS
from sites.house.models import Event
from sites.packs.models import FrozenPack
from sites.premises.models import Design, Premises
from sites.review.models import Attachment, Question, Verdict

# Spells out this many names of changed fields; a sheet has some hundreds.
SPELLED_OUT = 12

_IN_WORDS = {
    "address_lines": "address",
    "loads_measured": "how the demand was found",
    "on_date": "date of the rules",
    "unit_id": "unit",
}
"""Fields whose name says less than the label of their box."""


def events_of(premises: Premises) -> QuerySet[Event]:
    """Return every event of the premises and of its rows, latest first."""
    cases = Case.objects.filter(premises=premises)
    applications = list(cases.values_list("application_id", flat=True))
    keys: set[UUID] = {premises.key}
    for rows in (
        Design.objects.filter(premises=premises),
        cases,
        FrozenPack.objects.filter(application__in=applications),
        Verdict.objects.filter(case__in=cases),
        Question.objects.filter(case__in=cases),
        Attachment.objects.filter(case__in=cases),
    ):
        keys.update(rows.order_by().values_list("key", flat=True))
    keys.update(cases.order_by().values_list("application__key", flat=True))
    return Event.objects.filter(subject_key__in=keys)


def sentence_of(event: Event) -> str:
    """Return what somebody did, for example: Ann Vole saved the premises sheet."""
    return f"{event.actor} {ACTS.get(event.act, event.act)}{_which(event.data)}."


def changes_of(event: Event) -> str:
    """Name the changed fields; their contents are not logged."""
    fields = event.data.get("fields")
    if not isinstance(fields, list) or not fields:
        return ""
    names = [_field(str(name)) for name in fields[:SPELLED_OUT]]
    more = len(fields) - len(names)
    return f"Changed: {'; '.join(names)}{f'; and {more} more' if more > 0 else ''}."


def _field(changed: str) -> str:
    """Return a changed field in words: "premises: on_date" is "premises: date of the rules"."""
    of, colon, name = changed.rpartition(": ")
    return f"{of}{colon}{_IN_WORDS.get(name, name)}".replace("_", " ")


def _which(data: dict[str, object]) -> str:
    if revision := data.get("revision"):
        return f", revision {revision}"
    if finding := data.get("finding"):
        return f": {str(finding).replace('-', ' ')}"
    if day := data.get("day"):
        return f": {day}, from {data.get('from')} to {data.get('to')}"
    several = data.get("findings")
    if isinstance(several, list):
        return f": {', '.join(str(each['finding']).replace('-', ' ') for each in several)}"
    return ""
