"""Fetch a row by its key: 404 where there is none."""

from typing import TypeVar
from uuid import UUID

from django.db import models
from django.shortcuts import get_object_or_404

Row = TypeVar("Row", bound=models.Model)


def row_or_404(rows: "models.QuerySet[Row]", key: UUID) -> Row:
    """The row with this key, or 404."""
    return get_object_or_404(rows, key=key)
