"""Renews the words by which premises are found, in the transaction of the act that changed them."""

from django.db import transaction

from sites.premises.models import Premises, SearchWord
from sites.premises.reading.search import words_of


@transaction.atomic
def renew_words(premises: int) -> None:
    """Make the search words of a premises, given by primary key, those of its rows."""
    Premises.objects.select_for_update().only("pk").get(pk=premises)
    new = words_of([premises])[premises]
    rows = SearchWord.objects.filter(premises=premises)
    old = {bytes(word) for word in rows.values_list("word", flat=True)}
    rows.filter(word__in=old - new).delete()
    SearchWord.objects.bulk_create(
        (SearchWord(word=word, premises_id=premises) for word in sorted(new - old)),
        ignore_conflicts=True,
    )


def make_missing_words() -> str:
    """Make the search words of premises that have none; say how many. For the night."""
    without = list(
        Premises.objects.filter(search_words__isnull=True)
        .order_by("pk")
        .values_list("pk", flat=True)
    )
    for premises in without:
        renew_words(premises)
    return f"{len(without)} premises without search words have theirs now"
