"""The words that the word facts can take, so that a rulebook can't ask about a misspelt one."""

WORDS: dict[str, tuple[str, ...]] = {
    "voltage_level": ("LV", "HV"),
    "supply_kind": ("single-phase", "split", "three-phase"),
    "islanding": ("no", "yes"),
    "limitation_scheme": ("none", "type-tested", "not-type-tested"),
}
"""Fact name to its words, in the order in which they are listed and enumerated."""

CHOICES: dict[str, tuple[str, ...]] = {
    "operator.looped_service": ("not stated", "ask", "accepted", "refused"),
}
"""Values that are one of some words, beside readings."""

DAYS = frozenset({"calendar.extra_days"})
"""Lists whose words are dates, as 2027-05-17; they may be empty."""

READINGS = ("strict", "inclusive")
"""How an ambiguous limit is read: "strict" leaves the exact limit out, "inclusive" lets it in."""
