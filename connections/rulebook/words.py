"""The allowed words of word facts, so that a rulebook cannot ask about a misspelt one."""

WORDS: dict[str, tuple[str, ...]] = {
    "voltage_level": ("LV", "HV"),
    "supply_kind": ("single-phase", "split", "three-phase"),
    "islanding": ("no", "yes"),
    "limitation_scheme": ("none", "type-tested", "not-type-tested"),
    "limit_use": ("none", "voluntary", "relied-on"),
    "demand_notice": ("none", "notify", "apply"),
}
"""Fact name to its words, in the order of listing and enumerating."""

CHOICES: dict[str, tuple[str, ...]] = {
    "operator.looped_service": ("not stated", "ask", "accepted", "refused"),
}
"""Text values with a fixed choice of words, besides readings."""

DAYS = frozenset({"calendar.extra_days"})
"""Lists whose words are dates, as 2027-05-17; they may be empty."""

READINGS = ("strict", "inclusive", "settled")
"""Readings of an ambiguous condition: "strict" leaves out what only the other reading lets in, and
the other one is told; "inclusive" lets it in; "settled" is strict, and the operator has said so."""
