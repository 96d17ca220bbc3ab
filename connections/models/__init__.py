"""The rows of applications: lines, review, attachments, frozen packs, kept rulebooks, local
entries, screening runs, energy years."""

from connections.models.application import Application, ApplicationLine
from connections.models.attachment import Attachment
from connections.models.energy_year import (
    DesignYear,
    EnergyFile,
    EnergyInputs,
    LimitSweep,
    RemedyYears,
)
from connections.models.local_entry import LocalEntry, LocalStamp
from connections.models.pack import FrozenPack, PersonalPart
from connections.models.reply import Reply
from connections.models.review import Question, Verdict
from connections.models.rulebook import KeptRulebook
from connections.models.screening import NotedRules, ScreeningPart, ScreeningRow, ScreeningRun

__all__ = [
    "Application",
    "ApplicationLine",
    "Attachment",
    "DesignYear",
    "EnergyFile",
    "EnergyInputs",
    "FrozenPack",
    "KeptRulebook",
    "LimitSweep",
    "LocalEntry",
    "LocalStamp",
    "NotedRules",
    "PersonalPart",
    "Question",
    "RemedyYears",
    "Reply",
    "ScreeningPart",
    "ScreeningRow",
    "ScreeningRun",
    "Verdict",
]
