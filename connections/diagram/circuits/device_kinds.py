"""Symbol of a protective device."""

from connections.facts.defaults import known
from connections.facts.devices import (
    MAIN_NAMES,
    ORIGIN_NAMES,
    device_kind,
    island_device,
    on_dc_side,
    plain,
)
from connections.facts.site import Protection

__all__ = ["MAIN_NAMES", "ORIGIN_NAMES", "island_device", "on_dc_side", "plain", "symbol_of"]


def symbol_of(entry: Protection, at_board: bool = False) -> str:
    """The symbol of a device; other kinds get the general box.

    A switch at a board is a plain one; at a unit it is an isolator. The padlock is drawn where the
    facts say that a lock can hold it open.
    """
    if island_device(entry) == "changeover":
        return "changeover"
    if "meter" in plain(entry.kind):
        return "meter"
    kind = device_kind(entry)
    if kind != "isolator":
        return kind
    if at_board:
        return "main-switch"
    return "isolator-locked" if known(entry.lockable) else "isolator"
