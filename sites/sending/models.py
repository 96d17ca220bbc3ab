"""What was sent to operators and how it ended; their forms; letters and calls."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.house.models.base import Keyed

PORTAL, MAIL, ZIP = "portal", "mail", "zip"
WAYS = (
    (PORTAL, "On the operator’s portal"),
    (MAIL, "By e-mail from here"),
    (ZIP, "As one zip, by our own mail or post"),
)

QUEUED, SENDING, ACCEPTED, FAILED, UNKNOWN = "queued", "sending", "accepted", "failed", "unknown"
STATES = (
    (QUEUED, "Waits to be sent"),
    (SENDING, "Is being sent"),
    (ACCEPTED, "Sent"),
    (FAILED, "Not sent"),
    (UNKNOWN, "Not known whether it was sent"),
)

LETTER, CALL, E_MAIL, VISIT = "letter", "call", "e-mail", "visit"
KINDS = ((CALL, "Call"), (E_MAIL, "E-mail"), (LETTER, "Letter"), (VISIT, "Visit"))


class Dispatch(Keyed):
    """One sending of a frozen pack.

    `key` is made with the page, so that a form sent twice is one dispatch. `content_sha256` names
    the stored bytes of a mail or a zip, and `files` what went with the pack. A mail goes through
    all states, whatever is entered by hand begins as accepted. `fault` says why it failed or what
    is not known. Erasing empties the bytes, the words and the names of files.
    """

    application = models.ForeignKey(
        "sites.Application", on_delete=models.PROTECT, related_name="dispatches"
    )
    pack = models.ForeignKey(
        "sites.FrozenPack", on_delete=models.PROTECT, related_name="dispatches"
    )
    way = models.CharField(max_length=10, choices=WAYS)
    state = models.CharField(max_length=10, choices=STATES)
    recipient = models.CharField(max_length=254, blank=True)
    reference = models.CharField(max_length=200, blank=True)
    subject = models.CharField(max_length=200, blank=True)
    words = models.TextField(blank=True)
    files = models.JSONField(default=list)
    message_id = models.CharField(max_length=300, unique=True, null=True)
    content_sha256 = models.CharField(max_length=64, blank=True)
    sent_on = models.DateField(null=True)
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    fault = models.CharField(max_length=500, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ("entered_at", "pk")
        constraints = (
            models.CheckConstraint(
                condition=Q(state__in=[key for key, _says in STATES]), name="dispatch_state"
            ),
            # Of two people who press at once, one is refused.
            models.UniqueConstraint(
                fields=("pack",),
                condition=Q(way="mail", state__in=["queued", "sending"]),
                name="dispatch_in_flight_once",
            ),
        )


class Attempt(models.Model):
    """One try of the worker to hand a mail over. `answer` is what the mail server said."""

    dispatch = models.ForeignKey(Dispatch, on_delete=models.CASCADE, related_name="attempts")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=10, choices=STATES)
    begun_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    answer = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ("dispatch", "number")
        constraints = (
            models.UniqueConstraint(fields=("dispatch", "number"), name="attempt_number_once"),
        )


class Recipient(models.Model):
    """The address to which the firm sends an operator's applications, typed once."""

    operator = models.CharField(max_length=40, unique=True)
    address = models.CharField(max_length=254)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Conversation(Keyed):
    """A letter, a call, a mail or a visit about a case: who, when, and what was said; personal.

    `chase_on` is the day on which to ask again, until `chased_at`.
    """

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="conversations")
    kind = models.CharField(max_length=10, choices=KINDS)
    on = models.DateField()
    with_whom = models.CharField(max_length=200)
    said = models.TextField()
    chase_on = models.DateField(null=True)
    chased_at = models.DateTimeField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("-on", "-pk")


class FormItem(models.Model):
    """One item of an operator's own form: its number there, and our data item that answers it.

    The order and the numbers are the firm's entry; nothing of the form's text is kept.
    """

    operator = models.CharField(max_length=40)
    place = models.PositiveIntegerField()
    number = models.CharField(max_length=20)
    item = models.CharField(max_length=60)

    class Meta:
        ordering = ("operator", "place")
        constraints = (
            models.UniqueConstraint(fields=("operator", "place"), name="form_item_once_at_place"),
        )


class CopyTick(models.Model):
    """A value of a pack that was copied into the operator's form; `item` with its row, if any."""

    pack = models.ForeignKey("sites.FrozenPack", on_delete=models.CASCADE, related_name="ticks")
    item = models.CharField(max_length=260)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=("pack", "item"), name="copied_once"),)
