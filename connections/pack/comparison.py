"""A page that lays designs side by side for the customer, as it is printed. Frozen words, no facts.

It is no pack: nothing is asked or told by it, and it is not kept.
"""

import datetime as dt

from msgspec import Struct

MOST = 4
"""Designs that fit beside each other on one page."""


class ComparedRow(Struct, frozen=True):
    """One question in plain words, and what each design answers: lines of words."""

    question: str
    answers: tuple[tuple[str, ...], ...]


class Drawn(Struct, frozen=True):
    """A plot as SVG with the words beneath it."""

    title: str
    svg: str
    words: str


class Comparison(Struct, frozen=True):
    """What the page shows.

    `plotted` names the design that the plots are of, `left_out` those that do not fit on the page.
    """

    title: str
    reference: str
    prepared_on: dt.date
    firm: str
    designs: tuple[str, ...]
    chosen: str
    rows: tuple[ComparedRow, ...]
    plots: tuple[Drawn, ...]
    notes: tuple[str, ...]
    left_out: tuple[str, ...] = ()
    plotted: str = ""
