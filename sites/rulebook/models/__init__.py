"""Rows of the rulebook: kept rulebooks, the firm's local entries, and the values it has read."""

from sites.rulebook.models.kept import KeptRulebook
from sites.rulebook.models.local_entry import LocalEntry, LocalStamp
from sites.rulebook.models.value_reading import ValueReading

__all__ = [
    "KeptRulebook",
    "LocalEntry",
    "LocalStamp",
    "ValueReading",
]
