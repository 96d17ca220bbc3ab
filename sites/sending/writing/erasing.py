"""Erases what the outbox and the conversations of an application hold of a customer."""

from functools import partial

from django.db import transaction
from django.db.models import Q

from sites.cases.models import Application
from sites.house import storage
from sites.sending.models import Conversation, Dispatch

ERASED = "Erased."


@transaction.atomic
def erase_sent(application: Application) -> int:
    """Erase the bytes and words of dispatches, and who said what; return how many rows held any.

    When, by which way and with what end something was sent stays, and so does the operator's
    reference. A mail that waits is not sent any more.
    """
    sent = Dispatch.objects.filter(application=application)
    held = sent.exclude(Q(content_sha256="") & Q(subject="") & Q(words="") & Q(files=[]))
    digests = set(held.exclude(content_sha256="").values_list("content_sha256", flat=True))
    count = held.update(content_sha256="", subject="", words="", files=[])
    talks = Conversation.objects.filter(case__application=application).exclude(said=ERASED)
    count += talks.update(said=ERASED, with_whom=ERASED)
    for sha256 in digests:
        if not Dispatch.objects.filter(content_sha256=sha256).exists():
            transaction.on_commit(partial(storage.remove, sha256))
    return count
