"""Which operator a case goes to, and the address that its applications are sent to."""

from connections.rulebook.load import load_books
from sites.deciding.reading.deciding import DecidedSite
from sites.sending.models import Recipient

ADDRESS = "operator.applications_email"
"""The key under which the layer of an operator may give the address."""


def operator_of(area: str) -> str:
    """The key of the operator of a licence area: the first of the areas that are taken for its own.

    Areas that exactly the same operators' layers name are one operator's; a layer may also hold for
    areas of several. So an operator may have two keys, but never two operators one. Empty where the
    area is not known.
    """
    layers = _layers_of(area)
    areas = [each.id for each in load_books().areas] if layers else []
    return min([area, *(each for each in areas if _layers_of(each) == layers)])


def _layers_of(area: str) -> frozenset[str]:
    return frozenset(part.key for part in load_books().operators if area in part.areas)


def operator_words(area: str) -> str:
    """The operator of an area in words: the areas that it serves."""
    books = load_books()
    key = operator_of(area)
    names = [each.name for each in books.areas if operator_of(each.id) == key and key]
    return ", ".join(names) or "an area that is not known"


def address_of(decided: DecidedSite) -> str:
    """The address for applications: that of the operator's layer, else the one that the firm typed.

    Empty where there is neither.
    """
    book = decided.book
    if book is None:
        return ""
    given = book.values.get(ADDRESS)
    if given is not None:
        return given.written
    kept = Recipient.objects.filter(operator=operator_of(book.area)).first()
    return kept.address if kept is not None else ""
