"""Printed page that compares designs for the customer. Frozen words, no facts.

It is no pack: it asks and tells the operator nothing, and it is not kept.
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
    """Content of the page.

    `chosen` is the design proposed, empty where it is not possible; `why` says why, and `chosen_as`
    whether it is proposed or chosen. `plotted` names the design of
    the plots, `left_out` the designs that do not fit on the page.
    """

    title: str
    reference: str
    customer: str
    premises: str
    prepared_on: dt.date
    firm: str
    phone: str
    designs: tuple[str, ...]
    chosen: str
    rows: tuple[ComparedRow, ...]
    plots: tuple[Drawn, ...]
    notes: tuple[str, ...]
    left_out: tuple[str, ...] = ()
    plotted: str = ""
    why: str = ""
    chosen_as: str = "Proposed"
