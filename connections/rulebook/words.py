"""The words that the word facts can take, so that a rulebook can't ask about a misspelt one."""

WORDS: dict[str, tuple[str, ...]] = {
    "voltage_level": ("LV", "HV"),
    "supply_kind": ("single-phase", "split", "three-phase"),
    "islanding": ("no", "yes"),
    "limitation_scheme": ("none", "type-tested", "not-type-tested"),
}
"""Fact name to its words, in the order in which they are listed and enumerated."""

READINGS = ("strict", "inclusive")
"""How an ambiguous limit is read: "strict" leaves the exact limit out, "inclusive" lets it in."""
