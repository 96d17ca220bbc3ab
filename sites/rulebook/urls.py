"""Addresses of the rulebook's pages and of the firm's local entries."""

from django.urls import URLPattern, path

from sites.rulebook.pages.difference import difference
from sites.rulebook.pages.local import local_choose, local_download, local_entry, local_list
from sites.rulebook.pages.showing import (
    documents,
    rulebook,
    settings,
    steps,
    table,
    value,
    values,
    words,
)

urlpatterns: list[URLPattern] = [
    path("rulebook/", rulebook, name="rulebook"),
    path("rulebook/values/", values, name="rulebook-values"),
    path("rulebook/values/<str:key>/", value, name="rulebook-value"),
    path("rulebook/table/", table, name="rulebook-table"),
    path("rulebook/steps/", steps, name="rulebook-steps"),
    path("rulebook/settings/", settings, name="rulebook-settings"),
    path("rulebook/sources/", documents, name="rulebook-sources"),
    path("rulebook/words/", words, name="rulebook-words"),
    path("rulebook/difference/", difference, name="rulebook-difference"),
    path("rulebook/local/", local_list, name="local-list"),
    path("rulebook/local/new/", local_choose, name="local-choose"),
    path("rulebook/local/file/", local_download, name="local-download"),
    path("rulebook/local/<uuid:key>/", local_entry, name="local-entry"),
]
