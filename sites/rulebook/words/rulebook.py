"""Words of the rulebook pages: certainties, nations, heads of columns, conditions."""

import datetime as dt

from msgspec import Struct

from connections.facts.deciding import BY_NAME
from connections.rulebook.book import GREAT_BRITAIN, Condition, Rulebook, Value
from connections.rulebook.telling import amount_in_words

READ = "read"
"""The certainty, on these pages, of a value that somebody of the firm read in its document."""

CERTAINTIES = {
    "published": "Published: read in the text itself",
    "secondary": "Secondary: from guidance or reports, not from the text itself",
    "common practice": "Common practice, no source",
    "from memory": "From memory, to be looked up",
    "local": "Local: the firm has it in writing, from the operator or in a document",
    READ: "Read by the firm in the document",
}
"""Each certainty with its meaning, published first."""

FOR_REFERENCE = "For reference; nothing acts on it"
"""Head of the values that nothing in the program acts on."""

SHORT_CERTAINTIES = {
    "published": "published text",
    "secondary": "secondary source",
    "common practice": "common practice",
    "from memory": "from memory",
    "local": "local entry",
    READ: "read by the firm",
}


def certainty_of(book: Rulebook, value: Value) -> str:
    """Return the certainty by which the pages sort a value: READ, or that of its file."""
    return READ if value.key in book.readings else value.certainty


def short_certainty(certainty: str) -> str:
    """Return a certainty in a few words; one that says who read the value stays as it is."""
    return SHORT_CERTAINTIES.get(certainty, certainty)


SHORT_FACTS = {
    "voltage_level": "Voltage level",
    "supply_kind": "Supply",
    "accepted_as_micro": "All type tested as micro-generation",
    "accepted_as_small": "All type tested as small generation",
    "every_unit_inverter": "All are inverters",
    "every_unit_long_term_parallel": "All in long-term parallel",
    "islanding": "Can island",
    "largest_rated": "Largest unit, registered, per phase",
    "largest_design": "Largest unit, design, per phase",
    "largest_phase_sum": "Aggregate on the fullest phase",
    "largest_phase_va": "Apparent power on the fullest phase",
    "export_limit": "Export limit, per phase",
    "generation_phase_sum": "Generation on its fullest phase",
    "storage_phase_sum": "Storage on its fullest phase",
    "total": "Aggregate of the site",
    "total_va": "Apparent power of the site",
    "largest_module": "Largest module",
    "nearby_premises": "Other premises near by",
    "untested_inverter": "An inverter not fully tested",
    "untested_synchronous": "A synchronous unit not fully tested",
    "limitation_scheme": "Limitation scheme",
    "limit_use": "What the limit is for",
    "demand_notice": "Notice of demand",
    "plug_in_kit": "One plug-in kit proposed",
    "plug_in_kits": "Plug-in kits",
    "plug_in_total": "Plug-in kits together",
    "plug_in_va": "Apparent power of plug-in kits",
    "dc_side_only": "Change on the DC side only",
    "nothing_parallel": "Nothing left in parallel",
    "taken_out": "Plant taken out",
}
"""Heads of narrow columns; other facts use their full words."""

OPS = {
    "at_most": "at most",
    "below": "below",
    "at_least": "at least",
    "above": "above",
    "is": "",
    "one_of": "",
}

SEVERITIES = {
    "stops": "Stops the application",
    "decide": "Needs an engineer's decision",
    "inform": "For information",
}

WORDS = {"LV": "low voltage", "HV": "high voltage"}


class Limit(Struct, frozen=True):
    """The right side of a comparison: words before it, amount, and key if a value gives it.

    `note` says how the exact limit is read; `note_key` is the value that sets this.
    """

    before: str
    amount: str
    key: str = ""
    note: str = ""
    note_key: str = ""

    def __str__(self) -> str:
        """Return all of it in one line."""
        told = f"{self.before} {self.amount}".strip()
        return f"{told}, {self.note}" if self.note else told


class ToldCondition(Struct, frozen=True):
    """A condition in words: its question and its limit, None for a statement."""

    says: str
    limit: Limit | None


def nation_in_words(nation: str) -> str:
    """Return the name of a nation; "Great Britain" for each of its nations."""
    return "Great Britain" if nation in GREAT_BRITAIN else nation.replace("_", " ").title()


def nations_in_words(nations: tuple[str, ...]) -> str:
    """Return the nations of an edition in words, Great Britain once."""
    if set(GREAT_BRITAIN) <= set(nations):
        nations = (
            GREAT_BRITAIN[0],
            *(nation for nation in nations if nation not in GREAT_BRITAIN),
        )
    return ", ".join(dict.fromkeys(nation_in_words(nation) for nation in nations))


def head_of_fact(name: str) -> str:
    """Return the head of a fact's column."""
    return SHORT_FACTS.get(name) or capital(BY_NAME[name].says)


def capital(text: str) -> str:
    """Return the text with a capital first letter."""
    return text[:1].upper() + text[1:]


def plain_word(word: object) -> str:
    """Return a word, number or switch of a condition in words."""
    if isinstance(word, bool):
        return "yes" if word else "no"
    return WORDS.get(str(word), str(word))


def either(words: tuple[str, ...]) -> str:
    """Join words, as in "single-phase or split"."""
    told = [plain_word(word) for word in words]
    if len(told) < 2:
        return "".join(told) or "none"
    return f"{', '.join(told[:-1])} or {told[-1]}"


def limit_of(condition: Condition, book: Rulebook) -> Limit:
    """Return the right side of a condition, in the words of its value."""
    before = OPS[condition.op]
    reading = book.values.get(condition.reading) if condition.reading else None
    inclusive = reading is not None and reading.amount == "inclusive"
    if not condition.against:
        literal = condition.literal
        shown = either(literal) if isinstance(literal, tuple) else plain_word(literal)
        if reading is None:
            return Limit(before, shown)
        note = "not asked, by the reading" if inclusive else "asked, by the reading"
        return Limit(before, shown, "", note, condition.reading)
    value = book.values.get(condition.against)
    if value is None:
        return Limit(before, "not held", condition.against)
    amount = amount_in_words(value)
    if isinstance(value.amount, tuple):
        amount = either(value.amount)
    if reading is None:
        return Limit(before, amount, condition.against)
    note = f"exactly {amount} is {'let in' if inclusive else 'left out'}"
    return Limit(before, amount, condition.against, note, condition.reading)


def condition_of(condition: Condition, book: Rulebook) -> ToldCondition:
    """Return a condition as a statement, or as a fact with its limit."""
    fact = BY_NAME[condition.fact]
    if condition.op == "is" and isinstance(condition.literal, bool):
        says = fact.says if condition.literal else f"this is not so: {fact.says}"
        return ToldCondition(capital(says), None)
    return ToldCondition(capital(fact.says), limit_of(condition, book))


def checked_key(value: Value) -> tuple[dt.date, str]:
    """Sort key of values: oldest check first."""
    return value.checked, value.key
