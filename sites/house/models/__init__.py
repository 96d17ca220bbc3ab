"""Rows that every subject may use: keys, the audit log, and work for the worker."""

from sites.house.models.base import Keyed, choices
from sites.house.models.event import Event
from sites.house.models.last_run import LastRun
from sites.house.models.work import Work

__all__ = [
    "Event",
    "Keyed",
    "LastRun",
    "Work",
    "choices",
]
