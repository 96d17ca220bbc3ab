"""Demands of an area's network operator on a step: address, form, notice, witness.

The edition declares these values as not stated; an operator's file or a local entry states them.
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
    return tuple(found)
