"""Rows of the rulebook: kept rulebooks and the firm's local entries."""

from sites.rulebook.models.kept import KeptRulebook
from sites.rulebook.models.local_entry import LocalEntry, LocalStamp

__all__ = [
    "KeptRulebook",
    "LocalEntry",
    "LocalStamp",
]
