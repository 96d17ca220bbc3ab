"""Addresses for a watch, and the help."""

from django.urls import URLPattern, path

from sites.house.pages.health import health, ready
from sites.house.pages.help import help_first, help_shown

urlpatterns: list[URLPattern] = [
    path("help/", help_first, name="help"),
    path("help/<slug:name>/", help_shown, name="help-page"),
    path("health/", health, name="health"),
    path("ready/", ready, name="ready"),
]
