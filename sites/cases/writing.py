"""Begins cases, moves them, hands them over, and raises the version of their application."""

import datetime as dt

from django.conf import settings
from django.db import models, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.module_loading import import_string

from sites.cases.models import Application, Case, Move
from sites.cases.moves import ACTS, DESK, OVER, STATES, Replayed, after, lacking, target
from sites.cases.reading import standing_of
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.people.models import INSTALLER, Person

LONGEST_REASON = 2000


@transaction.atomic
def begin_case(
    *,
    application: Application,
    premises: models.Model,
    design: models.Model,
    by: Person | None,
) -> Case:
    """Begin a case of an application, with its first move; whoever begins it owns it."""
    case = Case(application=application, owner=by)
    case.premises_id, case.design_id = premises.pk, design.pk
    case.save(force_insert=True)
    _put_move(case, Replayed(), "begin", "preparing", by, "")
    return case


@transaction.atomic
def move(
    *,
    case: Case,
    act: str,
    by: Person | None,
    reason: str = "",
    on: dt.date | None = None,
    seen: int | None = None,
) -> Move:
    """Move a case by an act of the table; `by` is None where the program does it.

    `seen` is the number of the last move that the page showed, else that of `case`. Of two who
    move a case from the same state, the second is refused. Raises
    NotAllowedError for a role that the act is not for. Raises RefusedError where the act leads
    nowhere from the state of the case, needs what is not there, or has no reason (box "reason") or
    no day, or one that lies ahead (box "on").
    """
    row = ACTS[act]
    if by is not None and not any(by.has_role(key) for key in row.who):
        raise NotAllowedError(f"Your role does not cover this: {row.says}.")
    seen = case.move_number if seen is None else seen
    now = Case.objects.select_for_update().get(pk=case.pk)
    if now.move_number != seen:
        raise RefusedError(
            f"Somebody moved the case meanwhile: it is “{STATES[now.state].says}” now. Look at it "
            "again."
        )
    standing = standing_of(now)
    to = target(act, standing)
    if to is None:
        raise RefusedError(
            f"“{row.says}” does not follow on “{STATES[now.state].says}”. Nothing was moved."
        )
    missing = lacking(act, standing)
    if missing:
        raise RefusedError(f"This is missing first: {'; '.join(missing)}.")
    reason = reason.strip()
    if row.reason and not reason:
        raise RefusedError(f"{row.asks}: write it here.", "reason")
    if len(reason) > LONGEST_REASON:
        raise RefusedError(f"Keep it to {LONGEST_REASON} characters.", "reason")
    if row.day and on is None:
        raise RefusedError("Give the day on which it happened.", "on")
    if on is not None and on > timezone.localdate():
        raise RefusedError("This day lies ahead; give the day on which it happened.", "on")
    was = Replayed(now.state, now.way, now.early, standing.last_act, standing.before)
    made = _put_move(now, was, act, to, by, reason, on)
    for name in _MOVED:
        setattr(case, name, getattr(now, name))
    renew_kept(case)
    return made


_MOVED = ("state", "way", "early", "move_number", "moved_at")


@transaction.atomic
def moves_on(
    *,
    case: Case,
    act: str,
    by: Person | None,
    reason: str = "",
    on: dt.date | None = None,
) -> Move | None:
    """Move a case by an act that follows from another, where the table lets it; else do nothing."""
    now = Case.objects.select_for_update().get(pk=case.pk)
    standing = standing_of(now)
    if target(act, standing) is None or lacking(act, standing):
        return None
    return move(case=case, act=act, by=by, reason=reason, on=on, seen=now.move_number)


@transaction.atomic
def hand_over(*, case: Case, to: Person | None, by: Person) -> None:
    """Give a case another owner, or none. Raises RefusedError for somebody who has left."""
    _desk(by)
    if to is not None:
        _works_here(to, "owner")
    Case.objects.filter(pk=case.pk).update(owner=to)
    data = {"to": str(to.key) if to is not None else ""}
    record("case.handed-over", by=by, subject=case, data=data)


@transaction.atomic
def archive(*, case: Case, by: Person) -> None:
    """Take a case off the lists; it is fetched back with `fetch_back`."""
    _desk(by)
    if Case.objects.filter(pk=case.pk, archived_at=None).update(archived_at=timezone.now()):
        record("case.archived", by=by, subject=case)


@transaction.atomic
def fetch_back(*, case: Case, by: Person) -> None:
    """Put an archived case back on the lists."""
    _desk(by)
    if Case.objects.filter(pk=case.pk, archived_at__isnull=False).update(archived_at=None):
        record("case.fetched-back", by=by, subject=case)


@transaction.atomic
def begin_second(*, case: Case, by: Person) -> Case:
    """Begin another case of a premises that has one, with the same design; its reference is X/2.

    Raises RefusedError while the newest case of the premises goes on.
    """
    _desk(by)
    cases = list(Case.objects.select_for_update().filter(premises=case.premises_id).order_by("pk"))
    if cases[-1].state not in OVER:
        raise RefusedError(
            f"The case before is still “{STATES[cases[-1].state].says}”. End it, or change it."
        )
    first = Application.objects.get(pk=cases[0].application_id).reference
    number = len(cases) + 1
    while Application.objects.filter(reference=f"{first}/{number}").exists():
        number += 1
    application = Application.objects.create(reference=f"{first}/{number}")
    made = begin_case(application=application, premises=case.premises, design=case.design, by=by)
    record("case.begun-again", by=by, subject=made)
    renew_kept(made)
    return made


def _desk(by: Person) -> None:
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")


def _put_move(
    case: Case,
    was: Replayed,
    act: str,
    to: str,
    by: Person | None,
    reason: str,
    on: dt.date | None = None,
) -> Move:
    """Set the state by comparing the number, and write the move and its event."""
    now, follows = timezone.now(), after(was, act, to)
    moved = Case.objects.filter(pk=case.pk, move_number=case.move_number).update(
        state=to,
        way=follows.way,
        early=follows.early,
        move_number=F("move_number") + 1,
        moved_at=now,
    )
    if not moved:
        raise RefusedError("Somebody moved the case meanwhile. Look at it again.")
    case.state, case.way, case.early, case.moved_at = to, follows.way, follows.early, now
    case.move_number += 1
    made = Move.objects.create(
        case=case,
        number=case.move_number,
        from_state=was.state,
        to_state=to,
        act=act,
        by=by,
        at=now,
        on=on,
        reason=reason,
    )
    if was.state:
        data = {"act": act, "from": was.state, "to": to, "number": made.number}
        if on is not None:
            data["on"] = on.isoformat()
        record("case.moved", by=by, subject=case, data=data)
    return made


def renew_kept(*cases: Case) -> None:
    """Decide cases again and keep what lists read of it; for every act that changes their facts.

    The last thing that an act does, for it locks the cases. What decides stands above this
    subject, and is named in the settings.
    """
    renew = import_string(settings.KEPT_DECISIONS)
    for case in cases:
        renew(case)


def raise_version(case: Case) -> None:
    """Raise the version of a case's application; others who raise it wait for this transaction."""
    Application.objects.filter(pk=case.application_id).update(version=F("version") + 1)


def raise_version_of(application: Application) -> None:
    """Raise the version of an application."""
    Application.objects.filter(pk=application.pk).update(version=F("version") + 1)


@transaction.atomic
def give_case(*, case: Case, to: Person | None, by: Person) -> None:
    """Give a case to an installer, who then sees it, or to none.

    Raises NotAllowedError for a role that the act is not for, and RefusedError (box "installer")
    for somebody who has left or is no installer.
    """
    _desk(by)
    if to is not None:
        _works_here(to, "installer")
        if not to.has_role(INSTALLER):
            raise RefusedError(f"{to} is no installer; choose one.", "installer")
    Case.objects.filter(pk=case.pk).update(installer=to)
    data = {"to": str(to.key) if to is not None else ""}
    record("case.given", by=by, subject=case, data=data)


@transaction.atomic
def hand_over_all(*, of: Person, to: Person, by: Person) -> int:
    """Hand over all that one person owns or was given; returns of how many cases.

    What was given to him as installer goes to another installer, else to none. Raises
    NotAllowedError for whoever is no manager, and RefusedError (box "to") for the same person and
    for somebody who has left.
    """
    if not by.is_manager:
        raise NotAllowedError("Only a manager may do this.")
    if of.pk == to.pk:
        raise RefusedError("Choose somebody else.", "to")
    _works_here(to, "to")
    held = Case.objects.filter(models.Q(owner=of) | models.Q(installer=of))
    found = list(held.select_related("application").order_by("pk"))
    for case in found:
        if case.owner_id == of.pk:
            hand_over(case=case, to=to, by=by)
        if case.installer_id == of.pk:
            give_case(case=case, to=to if to.has_role(INSTALLER) else None, by=by)
    return len(found)


def _works_here(person: Person, box: str) -> None:
    # Read anew and locked, so that nobody's access ends between this look and the act.
    if not Person.objects.select_for_update().filter(pk=person.pk, is_active=True).first():
        raise RefusedError("This person works here no more; choose somebody else.", box)
