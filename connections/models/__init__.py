"""The rows of applications: lines, review, attachments, frozen packs, kept rulebooks."""

from connections.models.application import Application, ApplicationLine
from connections.models.attachment import Attachment
from connections.models.pack import FrozenPack, PersonalPart
from connections.models.review import Question, Verdict
from connections.models.rulebook import KeptRulebook

__all__ = [
    "Application",
    "ApplicationLine",
    "Attachment",
    "FrozenPack",
    "KeptRulebook",
    "PersonalPart",
    "Question",
    "Verdict",
]
