"""Rows of the review: verdicts and questions, files, and what the operator answered."""

from sites.review.models.attachment import Attachment
from sites.review.models.reply import Reply
from sites.review.models.verdict import Question, Verdict

__all__ = [
    "Attachment",
    "Question",
    "Reply",
    "Verdict",
]
