"""Fetch the signed-in person, and check the role."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from sites.people.models import Person


def person_of(request: HttpRequest) -> Person:
    """The signed-in person. Every page but sign-in, health and static has one."""
    person: Any = request.user
    if not isinstance(person, Person):
        raise PermissionDenied("Sign in first.")
    return person


def engineer_of(request: HttpRequest) -> Person:
    """The signed-in engineer; others get 403, with the words that only an engineer may do this."""
    person = person_of(request)
    if not person.is_engineer:
        raise PermissionDenied("Only an engineer may do this.")
    return person


def manager_of(request: HttpRequest) -> Person:
    """The signed-in manager; others get 403, with the words that only a manager may do this."""
    person = person_of(request)
    if not person.is_manager:
        raise PermissionDenied("Only a manager may do this.")
    return person
