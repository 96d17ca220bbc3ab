"""Symbol of a protective device."""

from connections.facts.devices import MAIN_NAMES, ORIGIN_NAMES, device_kind, on_dc_side, plain
from connections.facts.site import Protection

__all__ = ["MAIN_NAMES", "ORIGIN_NAMES", "on_dc_side", "plain", "symbol_of"]


def symbol_of(entry: Protection, at_board: bool = False) -> str:
    """The symbol of a device; other kinds get the general box.

    A switch at a board is a plain one; at a unit it is the lockable isolator.
    """
    kind = device_kind(entry)
    return "main-switch" if kind == "isolator" and at_board else kind
