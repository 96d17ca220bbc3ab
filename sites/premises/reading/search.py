"""Search: which words a premises is found by, and which premises some words find.

The work does not grow with the number of premises: each typed word reads at most `MOST_FOUND`
rows of an index, and a few lookups go from those.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator

from django.db.models import QuerySet
from msgspec import Struct

from connections.facts.supply_number import SupplyNumberError, read_core
from sites.premises.models import Party, Premises, SearchWord, SupplyNumber, Unit

MOST_FOUND = 1000
"""Rows that one typed word reads at most; our choice, many more than anybody looks through."""
_LONGEST = 40
_MOST_WORDS = 6
_OF_CASES = (
    "cases__application__reference",
    "cases__replies__reference",
    "cases__verdicts__operator_reference",
)


class Found(Struct, frozen=True):
    """Primary keys of the premises found; with `more`, not all that fit are among them."""

    premises: frozenset[int]
    more: bool = False


def words_of(premises: Iterable[int]) -> dict[int, set[bytes]]:
    """Return the words of these premises, given by primary key, as their rows now are."""
    keys = list(premises)
    found: dict[int, set[bytes]] = {pk: set() for pk in keys}
    for pk, *texts in Premises.objects.filter(pk__in=keys).values_list(
        "pk", "reference", "name", "address_lines", "postcode"
    ):
        found[pk] |= set(words_in(*texts))
    for pk, name, email, phone in Party.objects.filter(
        premises__in=keys, part__in=("customer", "applicant")
    ).values_list("premises_id", "name", "email", "phone"):
        found[pk] |= set(words_in(name, email, telephone(phone)))
    for pk, value in SupplyNumber.objects.filter(premises__in=keys).values_list(
        "premises_id", "value"
    ):
        found[pk] |= set(words_in(value, supply_number(value)))
    for pk, maker, model, serials in Unit.objects.filter(premises__in=keys).values_list(
        "premises_id", "maker", "model", "serials"
    ):
        found[pk] |= set(words_in(maker, model, *serials.splitlines()))
    for name in ("caps__from_operator_reference", *_OF_CASES):
        for pk, text in (
            Premises.objects.filter(pk__in=keys).order_by().values_list("pk", name).distinct()
        ):
            found[pk] |= set(words_in(text or ""))
    return found


def words_in(*texts: str) -> Iterator[bytes]:
    """Yield each text closed up, from each of its words on: `27 Reed Lane` is found by `reedl`."""
    for text in texts:
        parts = _parts(text)
        for place in range(len(parts)):
            yield "".join(parts[place:])[:_LONGEST].encode()[:_LONGEST]


def telephone(text: str) -> str:
    """Return a telephone number in the digits dialled at home, then its last six by themselves."""
    digits = "".join(re.findall(r"\d", text))
    home = f"0{digits[2:]}" if digits.startswith("44") and len(digits) == 12 else digits
    return f"{home[:-6]} {home[-6:]}" if len(home) > 6 else home


def supply_number(text: str) -> str:
    """Return a supply number in the groups that a bill shows; one that can't be read as typed."""
    try:
        return str(read_core(text))
    except SupplyNumberError:
        return text


def find_premises(typed: str) -> Found:
    """Return the premises in which every typed word begins a word, or all of them together do.

    At most 13 queries, each of which reads a fixed number of rows at most.
    """
    words = ["".join(_parts(each)) for each in typed[:200].split()]
    words = list(dict.fromkeys(each for each in words if each))[:_MOST_WORDS]
    if not words:
        return Found(frozenset())
    read = {each: _first(each) for each in words}
    rarest = min(words, key=lambda each: (len(read[each]), -len(each)))
    found = frozenset(read[rarest][:MOST_FOUND])
    more = len(read[rarest]) > MOST_FOUND
    for word in words:
        if word != rarest and found:
            whole = len(read[word]) <= MOST_FOUND
            found &= frozenset(read[word] if whole else _among(word, found))
    together = _first("".join(_parts(typed[:200]))) if len(words) > 1 else []
    return Found(found.union(together[:MOST_FOUND]), more or len(together) > MOST_FOUND)


def _first(word: str) -> list[int]:
    return list(_beginning(word)[: MOST_FOUND + 1])


def _among(word: str, premises: Iterable[int]) -> Iterable[int]:
    return _beginning(word).filter(premises__in=premises)


def _beginning(word: str) -> QuerySet[SearchWord, int]:
    """Return the premises of the words that begin so; no byte of a word is 255."""
    begins = word.encode()[:_LONGEST]
    return (
        SearchWord.objects.filter(word__gte=begins, word__lt=begins + b"\xff")
        # In the order of the index, or a database may rather read the whole table.
        .order_by("word", "premises_id")
        .values_list("premises_id", flat=True)
    )


def _parts(text: str) -> list[str]:
    """Return the words of a text in small letters without accents."""
    plain = unicodedata.normalize("NFKD", text.replace("\0", "")).casefold()
    return re.findall(
        r"[^\W_]+", "".join(each for each in plain if not unicodedata.combining(each))
    )
