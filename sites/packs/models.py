"""Frozen packs: the content first, the print later.

Nothing here changes, except that a customer's personal part is erased and the print is noted.
"""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed


class PersonalPart(models.Model):
    """The personal part of a frozen pack with its salt, and those of annex and notice.

    Erasing a customer deletes this row.
    """

    content = models.BinaryField()
    salt = models.CharField(max_length=64)
    annex = models.BinaryField(default=b"")
    notice = models.BinaryField(default=b"")


class SentWithout(Keyed):
    """An engineer's reason to send the packs of a case without one needed fact.

    `item` is the pack's data item, `of` the row of a column ("bat-1"). It counts while the fact is
    not known. Never changed: a later one on the same fact replaces it.
    """

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="sent_without")
    item = models.CharField(max_length=60)
    of = models.CharField(max_length=200, blank=True)
    reason = models.TextField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("at", "pk")


class FrozenPack(Keyed):
    """One revision of an application's pack.

    `technical` is the whole frozen pack without its personal part, which has its own row. Both are
    canonical JSON; their digests and the pack's own outlive an erasure. `pdf_sha256` names the
    stored file once it is printed; until then the page says so. `annex` is the frozen annex in the
    same way, empty in rows from before there were any, and `notice` the notice of demand, empty
    where no load is told of; both are printed after the pack.
    """

    application = models.ForeignKey(
        "sites.Application", on_delete=models.PROTECT, related_name="packs"
    )
    reference = models.CharField(max_length=200)
    revision = models.PositiveIntegerField()
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="replaced_by"
    )
    changes = models.JSONField(default=list)
    procedure = models.CharField(max_length=40)
    technical = models.BinaryField()
    personal = models.OneToOneField(PersonalPart, on_delete=models.SET_NULL, null=True)
    technical_digest = models.CharField(max_length=64)
    personal_digest = models.CharField(max_length=64)
    digest = models.CharField(max_length=64, unique=True)
    rulebook = models.ForeignKey("sites.KeptRulebook", on_delete=models.PROTECT, related_name="+")
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    issued_at = models.DateTimeField()
    pdf_sha256 = models.CharField(max_length=64, blank=True)
    printed_at = models.DateTimeField(null=True)
    print_fault = models.CharField(max_length=300, blank=True)
    attachments = models.JSONField(default=list)
    annex = models.BinaryField(default=b"")
    annex_digest = models.CharField(max_length=64, blank=True)
    annex_pdf_sha256 = models.CharField(max_length=64, blank=True)
    notice = models.BinaryField(default=b"")
    notice_digest = models.CharField(max_length=64, blank=True)
    notice_pdf_sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ("application", "revision")
        constraints = (
            models.UniqueConstraint(
                fields=("reference", "revision"), name="pack_reference_and_revision_once"
            ),
        )
