"""Choices of the sheet beyond those that are declared with the facts themselves."""

from connections.facts.declaring import Choices

NEARBY: Choices = (
    ("none", "none"),
    ("some", "yes, this many"),
    ("unknown", "yes, number not known"),
)
SPREAD = "spread"
UNIT_PHASES: Choices = (
    ("L1", "L1"),
    ("L2", "L2"),
    ("L3", "L3"),
    ("L1 L2 L3", "L1, L2 and L3"),
    (SPREAD, "spread over phases"),
    ("L1 L2", "L1 and L2"),
    ("L1 L3", "L1 and L3"),
    ("L2 L3", "L2 and L3"),
)
PHASE_COUNTS: Choices = (
    ("1", "one phase"),
    ("2", "two phases"),
    ("3", "three phases"),
)
LOAD_PHASES: Choices = tuple(choice for choice in UNIT_PHASES if choice[0] != SPREAD)

SUGGESTIONS: dict[str, tuple[str, ...]] = {
    "standards": ("G98", "G99", "G83", "G59"),
    "devices": (
        "circuit-breaker",
        "isolator",
        "RCD",
        "RCBO",
        "fuse",
        "surge protection",
        "interface protection",
        "changeover switch",
    ),
    "directions": ("one way", "both ways"),
    "rcd-types": ("AC", "A", "F", "B"),
    "materials": ("copper", "aluminium"),
    "insulations": ("thermoplastic 70 C", "thermosetting 90 C"),
    "methods": ("A", "B", "C", "D", "E"),
    "sizes": ("1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95"),
    "boards": ("consumer unit", "main board"),
    "roles": ("owner and occupier", "owner", "tenant", "installer"),
    "loads": ("heat pump", "charge point", "electric shower", "cooker"),
    "measuring-points": ("supply",),
}
"""Words that the browser suggests in boxes that take any; common practice, no source."""
