"""Symbols: size, meaning, and the points where lines meet them.

All shapes are our own drawings after IEC 60617 (graphical symbols for diagrams). They stand once,
in the template diagram/symbols.svg of `documents`; its sizes are checked against those here. The
meaning of each shape is from memory of that standard and common practice; no symbol number is
claimed. Lines meet a symbol at the middle of its top and bottom edges.
"""

from msgspec import Struct


class Symbol(Struct, frozen=True):
    """Size in drawing units and the words of the legend."""

    width: int
    height: int
    words: str


SYMBOLS: dict[str, Symbol] = {
    "supply": Symbol(20, 34, "incoming supply"),
    "strokes-1": Symbol(14, 18, "one phase conductor"),
    "strokes-2": Symbol(14, 18, "two phase conductors"),
    "strokes-3": Symbol(14, 18, "three phase conductors"),
    "cut-out": Symbol(26, 32, "cut-out with fuse"),
    "meter": Symbol(30, 28, "meter"),
    "ct": Symbol(28, 20, "CT clamp"),
    "towards-supply": Symbol(8, 18, "arrow of the clamp points to the supply"),
    "towards-site": Symbol(8, 18, "arrow of the clamp points to the site"),
    "main-switch": Symbol(20, 28, "switch of a board"),
    "breaker": Symbol(20, 28, "circuit-breaker"),
    "rcd": Symbol(30, 30, "RCD"),
    "rcbo": Symbol(30, 30, "RCBO"),
    "fuse": Symbol(20, 28, "fuse"),
    "spd": Symbol(46, 34, "surge protection"),
    "device": Symbol(24, 22, "device of another kind"),
    "device-not-known": Symbol(24, 22, "device to be confirmed on site"),
    "device-box": Symbol(24, 22, "other equipment"),
    "isolator": Symbol(20, 28, "isolator"),
    "isolator-locked": Symbol(34, 28, "isolator that can be locked off"),
    "changeover": Symbol(36, 32, "changeover switch"),
    "relay": Symbol(30, 26, "neutral-earth relay"),
    "earth-terminal": Symbol(30, 12, "main earth terminal"),
    "earth": Symbol(20, 18, "earth electrode"),
    "interface": Symbol(44, 20, "interface protection: U, f, loss of mains"),
    "inverter": Symbol(36, 36, "inverter"),
    "inverter-tested": Symbol(50, 56, "inverter, its interface protection inside"),
    "machine": Symbol(34, 34, "rotating generator"),
    "unit-not-known": Symbol(34, 34, "unit of unknown kind"),
    "dc-isolator": Symbol(34, 28, "DC isolator"),
    "pv": Symbol(34, 26, "solar panels (PV array)"),
    "cells": Symbol(34, 26, "storage: cells"),
    "vehicle": Symbol(34, 26, "vehicle"),
    "source-other": Symbol(34, 26, "source of another kind"),
    "load": Symbol(10, 30, "loads"),
}
"""In the order of the legend: from the supply down."""

SHOWN_SMALLER: dict[str, tuple[int, int]] = {
    "supply": (14, 24),
    "cut-out": (20, 25),
    "main-switch": (17, 24),
    "breaker": (17, 24),
    "rcd": (24, 24),
    "rcbo": (24, 24),
    "fuse": (17, 24),
    "spd": (33, 24),
    "isolator": (17, 24),
    "isolator-locked": (29, 24),
    "changeover": (27, 24),
    "inverter": (28, 28),
    "dc-isolator": (29, 24),
    "pv": (31, 24),
    "load": (8, 24),
}
"""Symbols that the legend shows at another size; none with letters in it."""

LINE_WORDS: dict[str, str] = {
    "existing": "existing (thick)",
    "proposed": "proposed (dashed frame)",
    "removed": "removed (crossed out)",
    "busbar": "busbar",
    "boundary": "boundary of ownership",
    "control": "signal or control line",
}
