"""Fetching a row and checking the right to it in one step: a stranger's key gives 404."""

from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from sites.models import Person

Row = TypeVar("Row", bound=models.Model)


def person_of(request: HttpRequest) -> Person:
    """The signed-in person. Every page but sign-in, health and static has one."""
    person: Any = request.user
    if not isinstance(person, Person):
        raise PermissionDenied("Sign in first.")
    return person


def engineer_of(request: HttpRequest) -> Person:
    """The signed-in engineer; others are told that this is an engineer's act (403)."""
    person = person_of(request)
    if not person.is_engineer:
        raise PermissionDenied("Only an engineer may do this.")
    return person


def row_or_404(rows: "models.QuerySet[Row]", key: UUID) -> Row:
    """The row with this key, or 404."""
    return get_object_or_404(rows, key=key)
