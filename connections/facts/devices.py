"""Recognise boards and protective devices by their free text."""

import re
from functools import lru_cache

from connections.facts.defaults import known
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
"""Names for the board at the origin, in the form that `plain` gives. Our choice."""
ORIGIN_NAMES = frozenset(
    {"supply", "origin", "meter", "meter tails", "cut out", "cutout", "intake", "supply terminals"}
)
"""Names for a place upstream of the main board. Our choice."""

_KINDS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("interface", ("interface", "loss of mains", "lom")),
    ("rcbo", ("rcbo",)),
    ("rcd", ("rcd", "rccb", "residual")),
    ("breaker", ("mcb", "mccb", "cb", "acb", "breaker")),
    ("spd", ("spd", "surge")),
    ("fuse", ("fuse", "fuses", "fused")),
    ("isolator", ("isolator", "switch", "disconnector")),
)


ISLAND_WORDS: dict[str, tuple[str, ...]] = {
    "changeover": ("changeover", "island"),
    "relay": ("bond", "neutral earth"),
    "electrode": ("electrode", "earth rod"),
}
"""Words of the schedule that show the devices of plant that can run as an island: the switch that
parts it from the network, the relay that bonds neutral and earth, the electrode. Our choice."""


@lru_cache(maxsize=1024)
def plain(name: str) -> str:
    """A typed name for comparison: lower case, no punctuation."""
    return " ".join(re.sub(r"[\W_]+", " ", name.casefold()).split())


def device_kind(entry: Protection) -> str:
    """interface, rcbo, rcd, breaker, spd, fuse or isolator; "device" for any other kind."""
    return _kind_in(entry.kind)


@lru_cache(maxsize=256)
def _kind_in(words: str) -> str:
    said = f" {plain(words)} "
    for kind, names in _KINDS:
        if any(f" {name} " in said for name in names):
            return kind
    return "device"


def island_device(entry: Protection) -> str | None:
    """changeover, relay or electrode; None for any other kind."""
    said = plain(entry.kind)
    # The relay comes first: "neutral-earth relay of the island" is no switch.
    for kind in ("relay", "electrode", "changeover"):
        if any(word in said for word in ISLAND_WORDS[kind]):
            return kind
    return None


_TYPE = re.compile(r"\b(?:(?:curve|type) ([bcd])|([bcd]) (?:curve|type)|([bcd]) ?\d{1,3})\b")


def breaker_type(entry: Protection) -> str | None:
    """B, C or D of a circuit-breaker, as stated or from text such as "MCB type B" or "RCBO C20".

    None if not said, or said in two ways. The "type B" of an RCBO may be that of its residual
    current.
    """
    stated, said = known(entry.breaker_type), _type_in(plain(entry.kind), device_kind(entry))
    return None if stated and said and stated != said else stated or said


@lru_cache(maxsize=256)
def _type_in(said: str, kind: str) -> str | None:
    found = [name.upper() for groups in _TYPE.findall(said) for name in groups if name]
    if kind == "rcbo" and ("type b" in said or "b type" in said):
        found = [name for name in found if name != "B"]
    return found[0] if len(set(found)) == 1 else None


def on_dc_side(entry: Protection) -> bool:
    """Whether the text of the device places it on the DC side."""
    return " dc " in f" {plain(entry.kind)} "
