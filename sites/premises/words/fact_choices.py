"""Words of the sheet for what a site file writes as one word of a few: "pv+storage" is "PV and
storage"."""

from sites.house.boxes.choices import (
    BASES,
    CAPPED,
    EARTHING,
    KINDS,
    LEVELS,
    LIMITED_BY,
    LOAD_KINDS,
    MODES,
    NATIONS,
    SCHEMES,
    SOURCES,
    TYPE_TESTED,
)

_CHOICES = {
    "basis": dict(BASES),
    "on": dict(CAPPED),
    "earthing": dict(EARTHING),
    "kind": dict(KINDS) | dict(LOAD_KINDS),
    "voltage_level": dict(LEVELS),
    "limited_by": dict(LIMITED_BY),
    "operating_mode": dict(MODES),
    "nation": dict(NATIONS),
    "source": dict(SOURCES),
    "scheme": dict(SCHEMES),
    "type_tested": dict(TYPE_TESTED),
}


def choice_said(name: str, text: str) -> str:
    """The words for what stands at a fact of this name; empty where it is no such choice."""
    return _CHOICES.get(name, {}).get(text, "")
