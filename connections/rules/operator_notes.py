"""Notes on a step: what the network operator of an area wants, how long an offer stands, and what
a limitation scheme is described by and tested for.

The edition declares the operator's values as not stated; its file or a local entry states them.
"""

from connections.rulebook.book import Rulebook, StepRule, Value

NOT_STATED = "not stated"
_SENT = ("application", "notification", "confirmation", "decommission")
_BEFORE_CONNECTING = ("application", "confirmation")

_NOTES: tuple[tuple[str, tuple[str, ...], str], ...] = (
    ("operator.submission_address", _SENT, "Send it to {}."),
    ("operator.own_form", _SENT, "The network operator's own form: {}."),
    ("operator.notice", _BEFORE_CONNECTING, "Notice that the network operator wants: {}."),
    ("operator.witness", _BEFORE_CONNECTING, "Witness tests: {}."),
)
"""Key, the acts of the steps that tell it, and the sentence."""


_OFFERS = ("time.short_offer", "time.hv_offer")
_OF_FORMS = {
    "form.limiter_application": ("limitation.description", "It tells: {}."),
    "form.limiter_installation": ("limitation.tests", "It reports these tests: {}."),
}
"""Form of a step, and the list that tells what stands in it, with the sentence."""


def stated(book: Rulebook, key: str) -> Value | None:
    """The value of a key if it is stated, else None."""
    value = book.values.get(key)
    return None if value is None or value.amount == NOT_STATED else value


def notes_on(rule: StepRule, book: Rulebook) -> tuple[tuple[str, Value], ...]:
    """Sentences for a step, each with its value."""
    found = []
    for key, acts, sentence in _NOTES:
        value = stated(book, key)
        if value is not None and rule.what in acts:
            found.append((sentence.format(str(value.amount).rstrip(".")), value))
    validity = book.values.get("offer.validity")
    if validity is not None and rule.limit in _OFFERS:
        told = f"An offer stands for {validity.written}, unless it names another time."
        found.append((told, validity))
    key, sentence = _OF_FORMS.get(rule.form, ("", ""))
    if key in book.values:
        found.append((sentence.format("; ".join(book.words(key))), book.values[key]))
    return tuple(found)
