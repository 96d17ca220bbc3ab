"""Symbols: size, meaning, and the points where lines meet them.

All shapes are our own drawings after IEC 60617 (graphical symbols for diagrams). They stand once,
in the template diagram/symbols.svg of `documents`; its sizes are checked against those here. The
meaning of each shape is from memory of that standard and common practice; no symbol number is
claimed. Lines meet a symbol at the middle of its top and bottom edges.
"""

from msgspec import Struct


class Symbol(Struct, frozen=True):
    """Size in drawing units and the words of the legend (empty: not in the legend)."""

    width: int
    height: int
    words: str = ""


SYMBOLS: dict[str, Symbol] = {
    "network": Symbol(30, 30),
    "cut-out": Symbol(26, 32),
    "meter": Symbol(30, 28),
    "ct": Symbol(40, 20, "measuring point (CT) of the limitation scheme"),
    "main-switch": Symbol(20, 28),
    "isolator": Symbol(34, 28, "AC isolator, lockable"),
    "dc-isolator": Symbol(34, 28, "DC isolator, or connectors that isolate"),
    "breaker": Symbol(20, 28),
    "rcd": Symbol(30, 30),
    "rcbo": Symbol(30, 30),
    "fuse": Symbol(20, 28),
    "spd": Symbol(46, 34),
    "device": Symbol(24, 22),
    "device-not-known": Symbol(24, 22),
    "device-box": Symbol(24, 22),
    "changeover": Symbol(36, 32),
    "earth": Symbol(20, 18),
    "interface": Symbol(44, 20, "interface protection: U, f, loss of mains"),
    "inverter": Symbol(36, 36, "inverter"),
    "inverter-tested": Symbol(40, 70),
    "machine": Symbol(34, 34, "rotating generator"),
    "unit-not-known": Symbol(34, 34),
    "pv": Symbol(34, 26, "solar panels (PV array)"),
    "cells": Symbol(34, 26, "storage: cells"),
    "vehicle": Symbol(34, 26),
    "source-other": Symbol(34, 26),
    "load": Symbol(10, 30),
    "strokes-1": Symbol(14, 18),
    "strokes-2": Symbol(14, 18),
    "strokes-3": Symbol(14, 18),
    "arrow": Symbol(7, 8),
}

SHOWN_SMALLER: dict[str, tuple[int, int]] = {"inverter": (28, 28), "machine": (28, 28)}
"""Symbols that the legend shows at another size; none with small letters in it."""

LINE_WORDS: dict[str, str] = {
    "existing": "existing (thick lines)",
    "proposed": "proposed (dashed frame)",
    "removed": "removed (crossed out)",
    "control": "control line of the limitation scheme",
    "busbar": "busbar of a board",
}
