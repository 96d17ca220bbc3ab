"""What a protective device is, and where it stands, from the free words of the facts."""

import re

from connections.facts.site import Protection

MAIN_NAMES = frozenset(
    {
        "main",
        "main board",
        "main switchboard",
        "main distribution board",
        "mb",
        "consumer unit",
        "cu",
    }
)
"""Names that stand for the board at the origin, as `plain` gives them. Our choice."""
ORIGIN_NAMES = frozenset(
    {"supply", "origin", "meter", "meter tails", "cut out", "cutout", "intake", "supply terminals"}
)
"""Names that stand for a place before the main board. Our choice."""

_KINDS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("interface", ("interface", "loss of mains", "lom")),
    ("rcbo", ("rcbo",)),
    ("rcd", ("rcd", "rccb", "residual")),
    ("breaker", ("mcb", "mccb", "cb", "acb", "breaker")),
    ("spd", ("spd", "surge")),
    ("fuse", ("fuse", "fuses", "fused")),
    ("isolator", ("isolator", "switch", "disconnector")),
)


def plain(name: str) -> str:
    """A typed name for comparing: no case, no punctuation."""
    return " ".join(re.sub(r"[\W_]+", " ", name.casefold()).split())


def symbol_of(entry: Protection, at_board: bool = False) -> str:
    """The symbol of a device; one of another kind gets the general box.

    A switch at a board is a plain one; at a unit it is the lockable isolator.
    """
    said = f" {plain(entry.kind)} "
    for symbol, names in _KINDS:
        if any(f" {name} " in said for name in names):
            return "main-switch" if symbol == "isolator" and at_board else symbol
    return "device"


def on_dc_side(entry: Protection) -> bool:
    """Whether the device is said to stand on the DC side."""
    return "dc" in plain(entry.kind).split()
