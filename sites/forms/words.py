"""The words that the sheet offers, beside the words of the site file that they stand for."""

from sites.forms.fields import Choices

NATIONS: Choices = (
    ("england", "England"),
    ("wales", "Wales"),
    ("scotland", "Scotland"),
    ("northern_ireland", "Northern Ireland"),
    ("ireland", "Ireland"),
)
GRIDS: Choices = (("osgb", "British grid"), ("irish", "Irish grid"))
USES: Choices = (("import", "import"), ("export", "export"))
SCHEMES: Choices = (
    ("gb13", "Great Britain, 13 digits"),
    ("ni11", "Northern Ireland, 11 digits"),
    ("ie11", "Ireland, 11 digits"),
)
SUPPLY_PHASES: Choices = (
    ("1", "single-phase"),
    ("2", "split single-phase (L1 and L2)"),
    ("3", "three-phase"),
)
LEVELS: Choices = (("LV", "low voltage"), ("HV", "high voltage"))
EARTHING: Choices = (
    ("TN-C-S", "TN-C-S"),
    ("TN-S", "TN-S"),
    ("TT", "TT"),
    ("unknown", "could not be told"),
)
NEARBY: Choices = (
    ("none", "none"),
    ("some", "yes, this many"),
    ("unknown", "yes, number not known"),
)
SOURCES: Choices = (
    ("pv", "PV"),
    ("storage", "storage"),
    ("pv+storage", "PV and storage"),
    ("vehicle", "vehicle"),
    ("wind", "wind"),
    ("hydro", "hydro"),
    ("chp", "combined heat and power"),
    ("other", "other"),
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
LOAD_PHASES: Choices = tuple(choice for choice in UNIT_PHASES if choice[0] != SPREAD)
TYPE_TESTED: Choices = (
    ("full", "fully"),
    ("part", "partly"),
    ("no", "no"),
)
KINDS: Choices = (
    ("inverter", "inverter"),
    ("synchronous", "synchronous machine"),
    ("asynchronous", "asynchronous machine"),
)
LIMITED_BY: Choices = (
    ("none", "nothing"),
    ("maker", "a setting only the maker can lift"),
    ("software", "a setting on site"),
)
MODES: Choices = (
    ("long-term-parallel", "long-term parallel"),
    ("short-term-parallel", "short-term parallel"),
    ("switched", "switched, never in parallel"),
)
BASES: Choices = (
    ("ma_per_phase", "A on each phase"),
    ("w_total", "kW in all"),
    ("va_total", "kVA in all"),
)
CAPPED: Choices = (("export", "export"), ("installed", "installed capacity"))

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
    "roles": ("owner and occupier", "owner", "tenant", "installer"),
    "loads": ("heat pump", "charge point", "electric shower", "cooker"),
    "measuring-points": ("supply",),
}
"""Words that the browser offers in boxes that take any; common practice, no source."""
