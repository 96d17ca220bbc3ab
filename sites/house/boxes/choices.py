"""The words that the sheet offers, beside the words of the site file that they stand for."""

from sites.house.boxes.fields import Choices

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
PHASE_COUNTS: Choices = (
    ("1", "one phase"),
    ("2", "two phases"),
    ("3", "three phases"),
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
LOAD_KINDS: Choices = (
    ("lighting", "lighting"),
    ("heating", "heating"),
    ("cooker", "cooker"),
    ("cooker-with-socket", "cooker, socket outlet in its unit"),
    ("instant-water", "water heater, instantaneous"),
    ("stored-water", "water heater, stored"),
    ("storage-heating", "storage heaters"),
    ("floor-heating", "floor heating"),
    ("circuit", "final circuit"),
    ("socket", "socket outlets"),
    ("vehicle", "vehicle charging"),
    ("heat-pump", "heat pump"),
    ("other", "other"),
)
EMISSION_STANDARDS: Choices = (
    ("61000-3-2", "61000-3-2: harmonics, up to 16 A"),
    ("61000-3-3", "61000-3-3: flicker, up to 16 A"),
    ("61000-3-12", "61000-3-12: harmonics, 16 A to 75 A"),
    ("61000-3-11", "61000-3-11: flicker, up to 75 A"),
)
"""By name as the rulebook lists them. Sizes: IEC 61000-3, scope of each part, from memory."""
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
    "boards": ("consumer unit", "main board"),
    "roles": ("owner and occupier", "owner", "tenant", "installer"),
    "loads": ("heat pump", "charge point", "electric shower", "cooker"),
    "measuring-points": ("supply",),
}
"""Words that the browser offers in boxes that take any; common practice, no source."""
