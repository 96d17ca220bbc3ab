"""Keeps a rulebook whole when a decision made under it is kept."""

from django.utils import timezone

from connections.rulebook.book import Rulebook
from connections.rulebook.keeping import content_of
from sites.rulebook.models import KeptRulebook


def keep_rulebook(book: Rulebook) -> KeptRulebook:
    """Return the kept row of a rulebook, creating it on first use, inside the caller's act.

    Records no event: the event of that act names the digest.
    """
    kept, _ = KeptRulebook.objects.get_or_create(
        digest=book.digest,
        defaults={"content": content_of(book), "first_used_at": timezone.now()},
    )
    return kept
