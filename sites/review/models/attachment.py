"""Files of an application, stored under the hash of their bytes."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed

AUTHORITY, CONSENT, DATA_SHEET = "authority", "consent", "data-sheet"
SCHEME, SITE_PLAN, TEST = "scheme", "site-plan", "test"
PAPERS = (
    ("", "Something else"),
    (AUTHORITY, "Letter of authority, signed by the customer"),
    (CONSENT, "Consent of the owner, signed"),
    (DATA_SHEET, "Data sheet"),
    (SCHEME, "Description of the limitation scheme"),
    (SITE_PLAN, "Site plan"),
    (TEST, "Test report"),
)


class Attachment(Keyed):
    """An uploaded PDF, PNG or JPEG. `taken_out_at` hides it from later packs; its bytes stay.

    A file of an answer is taken out from the beginning, for no pack carries it. `kind` says which
    of the papers that operators ask for it is, if any.
    """

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="attachments")
    sha256 = models.CharField(max_length=64)
    name = models.CharField(max_length=200)
    title = models.CharField(max_length=200, blank=True)
    kind = models.CharField(max_length=20, choices=PAPERS, blank=True)
    media_type = models.CharField(max_length=60)
    size_bytes = models.PositiveBigIntegerField()
    pages = models.PositiveIntegerField(default=1)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    added_at = models.DateTimeField()
    taken_out_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("added_at", "pk")
