"""Rows of the review: verdicts, questions, files, and the operator's answers."""

from sites.review.models.attachment import Attachment
from sites.review.models.record_query import RecordQuery
from sites.review.models.reply import Condition, Reply
from sites.review.models.saved_view import SavedView
from sites.review.models.verdict import Question, Verdict
from sites.review.models.works import Works

__all__ = [
    "Attachment",
    "Condition",
    "Question",
    "RecordQuery",
    "Reply",
    "SavedView",
    "Verdict",
    "Works",
]
