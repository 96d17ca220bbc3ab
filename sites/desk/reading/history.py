"""The audit log of one premises, in sentences."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from uuid import UUID

from django.db.models import QuerySet

from sites.cases.models import Case
from sites.cases.moves import ACTS as MOVES
from sites.cases.moves import STATES
from sites.house.acts import ACTS
from sites.house.models import Event
from sites.packs.models import FrozenPack
from sites.premises.models import Design, Premises
from sites.review.models import Attachment, Question, Verdict
from sites.sending.models import WAYS

# Spells out this many names of changed fields; a sheet has some hundreds.
SPELLED_OUT = 12

WAYS_SAID = {key: says[:1].lower() + says[1:] for key, says in WAYS}

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
    """Name the changed fields, technical ones with old and new; the rest of it is not logged."""
    fields = event.data.get("fields")
    if not isinstance(fields, list) or not fields:
        return ""
    values = event.data.get("values")
    values = values if isinstance(values, dict) else {}
    names = [
        f"{_field(str(name))}{_old_and_new(values.get(str(name)))}" for name in fields[:SPELLED_OUT]
    ]
    more = len(fields) - len(names)
    return f"Changed: {'; '.join(names)}{f'; and {more} more' if more > 0 else ''}."


def _field(changed: str) -> str:
    """Return a changed field in words: "premises: on_date" is "premises: date of the rules"."""
    of, colon, name = changed.rpartition(": ")
    return f"{of}{colon}{_IN_WORDS.get(name, name)}".replace("_", " ")


def _old_and_new(values: object) -> str:
    if not isinstance(values, list) or len(values) != 2:
        return ""
    old, new = (_value(value) for value in values)
    return f", {old} → {new}"


def _value(value: object) -> str:
    if value is None or value == "":
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    try:
        return _day(value) if isinstance(value, str) else str(value)
    except ValueError:
        return str(value)


def _which(data: dict[str, object]) -> str:
    act, before, after = (str(data.get(name, "")) for name in ("act", "from", "to"))
    if act in MOVES and before in STATES and after in STATES:
        on = f", on {_day(data['on'])}" if "on" in data else ""
        if before == after:
            return f": {MOVES[act].did}{on}; it stays “{STATES[after].says}”"
        return f": {MOVES[act].did}{on}; from “{STATES[before].says}” to “{STATES[after].says}”"
    if "way" in data and "dispatch" in data:
        return f", revision {data.get('revision')}, {WAYS_SAID.get(str(data['way']), '')}"
    if "chase_on" in data:
        return f", to ask again on {_day(data['chase_on'])}"
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


def _day(written: object) -> str:
    day = dt.date.fromisoformat(str(written))
    return f"{day.day} {day:%B %Y}"


HEADS = ("When (UTC)", "Who", "Did", "Of", "In a sentence", "Changed", "Data")


def lines_of(events: Iterable[Event]) -> Iterator[tuple[str, ...]]:
    """Events as rows of a table, under HEADS; every value that was logged stands in the last."""
    for event in events:
        yield (
            event.at.isoformat(timespec="seconds"),
            event.actor,
            event.act,
            event.subject,
            sentence_of(event),
            changes_of(event),
            json.dumps(event.data, ensure_ascii=False, sort_keys=True),
        )
