"""Rows of the rulebook: rulebooks kept whole, and what the firm entered."""

from sites.rulebook.models.kept import KeptRulebook
from sites.rulebook.models.local_entry import LocalEntry, LocalStamp

__all__ = [
    "KeptRulebook",
    "LocalEntry",
    "LocalStamp",
]
