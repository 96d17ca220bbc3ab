"""The rows of applications: lines, review, attachments, frozen packs, kept rulebooks, local
entries, screening runs, energy years, what the worker is asked for."""

from connections.models.application import Application, ApplicationLine
from connections.models.attachment import Attachment
from connections.models.energy_year import EnergyFile, EnergyInputs
from connections.models.local_entry import LocalEntry, LocalStamp
from connections.models.pack import FrozenPack, PersonalPart
from connections.models.reply import Reply
from connections.models.review import Question, Verdict
from connections.models.rulebook import KeptRulebook
from connections.models.screening import NotedRules, ScreeningRow, ScreeningRun
from connections.models.work import Work

__all__ = [
    "Application",
    "ApplicationLine",
    "Attachment",
    "EnergyFile",
    "EnergyInputs",
    "FrozenPack",
    "KeptRulebook",
    "LocalEntry",
    "LocalStamp",
    "NotedRules",
    "PersonalPart",
    "Question",
    "Reply",
    "ScreeningRow",
    "ScreeningRun",
    "Verdict",
    "Work",
]
