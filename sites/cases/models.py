"""Applications, their cases, the moves of a case, and the kept decision on it."""

import datetime as dt
import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from sites.house.models.base import Keyed


class Application(Keyed):
    """What one pack asks a network operator for. The reference and a revision name a pack."""

    # 2026-11-25: for now an application has one case and the reference of its premises. The tables
    # allow more cases; making a pack of them is refused with a message.
    reference = models.CharField(max_length=200, unique=True)
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.reference


class Case(Keyed):
    """A premises in an application, with the design that it asks for, from survey to completed.

    `state` is that of the last move and `move_number` its number; only `writing.move` changes
    them. `way` is "application" or "notification" once a move has settled which, else empty.
    `early` is empty unless plant ran before the operator agreed: then "stops", or "told" once the
    operator was told of it. `declared_by` and `declared_on` are the installer's declaration on the
    work done; personal.
    """

    application = models.ForeignKey(Application, on_delete=models.CASCADE, related_name="cases")
    premises = models.ForeignKey("sites.Premises", on_delete=models.PROTECT, related_name="cases")
    design = models.ForeignKey("sites.Design", on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=30, default="preparing")
    way = models.CharField(max_length=20, blank=True)
    early = models.CharField(max_length=10, blank=True)
    declared_by = models.CharField(max_length=200, blank=True)
    declared_on = models.DateField(null=True)
    move_number = models.PositiveIntegerField(default=0)
    moved_at = models.DateTimeField(null=True)
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="cases_owned"
    )
    installer = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="cases_given"
    )
    archived_at = models.DateTimeField(null=True)
    urgency = models.CharField(max_length=11, default="1", editable=False)
    """The order of lists, from the kept decision: what stops, then by due day, ended cases last."""
    for_engineer = models.BooleanField(default=False, editable=False)
    """Whether the list of the engineers has it, from the kept decision."""

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("application", "premises"), name="case_premises_once"),
        )
        # A page of a list then reads a fixed number of rows, however many cases there are.
        indexes = (
            models.Index(fields=("urgency", "id"), name="case_by_urgency"),
            models.Index(fields=("state", "urgency", "id"), name="case_by_state"),
            models.Index(fields=("owner", "urgency", "id"), name="case_by_owner"),
            models.Index(
                fields=("urgency", "id"),
                condition=models.Q(archived_at__isnull=False),
                name="case_archived",
            ),
            models.Index(fields=("for_engineer", "urgency", "id"), name="case_for_engineer"),
        )

    def __str__(self) -> str:
        return self.application.reference


class Move(models.Model):
    """One move of a case from state to state. Never changed: all moves in order give the state.

    The first move of a case comes from no state. `by` is empty where the program moved it. `at` is
    when it was entered, `on` the day on which it happened, where the act asks for that.
    """

    case = models.ForeignKey(Case, on_delete=models.CASCADE, related_name="moves")
    number = models.PositiveIntegerField()
    from_state = models.CharField(max_length=30, blank=True)
    to_state = models.CharField(max_length=30)
    act = models.CharField(max_length=30)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField()
    on = models.DateField(null=True)
    reason = models.TextField(blank=True)

    class Meta:
        ordering = ("case", "number")
        constraints = (
            models.UniqueConstraint(fields=("case", "number"), name="move_number_once_for_case"),
        )


class KeptDecisions(models.QuerySet["KeptDecision"]):
    """Kept decisions, and which of them are out of date."""

    def stale(self, *, today: dt.date, entries: uuid.UUID, method: str) -> "KeptDecisions":
        """Those that rest on something else than what is there now, or have run out."""
        return self.filter(
            Q(good_until__lt=today)
            | ~Q(entries_stamp=entries)
            | ~Q(method=method)
            | ~Q(premises_version=F("case__premises__version"))
            | ~Q(design_version=F("case__design__version"))
        )


class KeptDecision(models.Model):
    """What lists read of the decision on a case, kept by `review.writing.kept.renew`.

    `stops` and `to_decide` count findings without a verdict that counts; `missing` facts needed
    now, `afterwards` facts known only after the work; `energised` says that every proposed unit has
    its commissioning date. `kind` is that of the pack that would follow. `open_install`,
    `open_energising` and `open_after` count conditions of the operator, `open_works` network works,
    `open_queries` those on the operator's record.
    `days` are all days of the case (`sites.review.reading.due.Day`), `due_on` the first of them.
    `fault` says why the rows can't be decided. `next_step` is a key of `NEXT_STEPS`; `due_says`
    names what `due_on` is the day of. The rest says what it rests on: versions, digest of the
    rulebook, stamp of the local entries, and `method` of the program. It holds from `as_of` to
    `good_until`, both included, where nothing else changes.
    """

    case = models.OneToOneField(Case, on_delete=models.CASCADE, related_name="kept")
    procedure = models.CharField(max_length=60, blank=True)
    procedure_title = models.CharField(max_length=300, blank=True)
    kind = models.CharField(max_length=20, blank=True)
    stops = models.PositiveIntegerField(default=0)
    to_decide = models.PositiveIntegerField(default=0)
    missing = models.PositiveIntegerField(default=0)
    afterwards = models.PositiveIntegerField(default=0)
    energised = models.BooleanField(default=False)
    open_install = models.PositiveIntegerField(default=0)
    open_energising = models.PositiveIntegerField(default=0)
    open_after = models.PositiveIntegerField(default=0)
    open_works = models.PositiveIntegerField(default=0)
    open_queries = models.PositiveIntegerField(default=0)
    fault = models.CharField(max_length=500, blank=True)
    next_step = models.CharField(max_length=30, db_index=True)
    due_on = models.DateField(null=True, db_index=True)
    due_says = models.CharField(max_length=100, blank=True)
    days = models.JSONField(default=list)
    premises_version = models.PositiveIntegerField()
    design_version = models.PositiveIntegerField()
    rulebook_digest = models.CharField(max_length=64, blank=True)
    entries_stamp = models.UUIDField()
    method = models.CharField(max_length=80)
    as_of = models.DateField()
    good_until = models.DateField(db_index=True)

    objects = KeptDecisions.as_manager()
