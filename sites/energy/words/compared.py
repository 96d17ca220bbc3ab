"""Rows of a comparison of designs, and groups of them."""

from dataclasses import dataclass


@dataclass(frozen=True)
class ComparedRow:
    """One question and the answer of each design: lines of words, the first one the figure."""

    question: str
    hint: str
    answers: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class ComparedGroup:
    """Rows that belong together; `source` names the basis of all of them, if it is told."""

    title: str
    rows: tuple[ComparedRow, ...]
    source: str = ""
