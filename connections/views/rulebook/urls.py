"""Addresses of the rulebook's pages and of how a line was decided."""

from django.urls import URLPattern, path

from connections.views.rulebook.difference import difference
from connections.views.rulebook.explained import line_explained
from connections.views.rulebook.pages import (
    documents,
    rulebook,
    settings,
    steps,
    table,
    value,
    values,
)

urlpatterns: list[URLPattern] = [
    path("rulebook/", rulebook, name="rulebook"),
    path("rulebook/values/", values, name="rulebook-values"),
    path("rulebook/values/<str:key>/", value, name="rulebook-value"),
    path("rulebook/table/", table, name="rulebook-table"),
    path("rulebook/steps/", steps, name="rulebook-steps"),
    path("rulebook/settings/", settings, name="rulebook-settings"),
    path("rulebook/sources/", documents, name="rulebook-sources"),
    path("rulebook/difference/", difference, name="rulebook-difference"),
    path("lines/<uuid:key>/explained/", line_explained, name="line-explained"),
]
