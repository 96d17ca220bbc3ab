"""Addresses of the firm's local entries."""

from django.urls import URLPattern, path

from connections.views.local.acts import (
    local_end,
    local_load,
    local_new_cap,
    local_new_condition,
    local_new_value,
)
from connections.views.local.pages import local_choose, local_download, local_entry, local_list

urlpatterns: list[URLPattern] = [
    path("rulebook/local/", local_list, name="local-list"),
    path("rulebook/local/new/", local_choose, name="local-choose"),
    path("rulebook/local/new/value/", local_new_value, name="local-new-value"),
    path("rulebook/local/new/cap/", local_new_cap, name="local-new-cap"),
    path("rulebook/local/new/condition/", local_new_condition, name="local-new-condition"),
    path("rulebook/local/load/", local_load, name="local-load"),
    path("rulebook/local/file/", local_download, name="local-download"),
    path("rulebook/local/<uuid:key>/", local_entry, name="local-entry"),
    path("rulebook/local/<uuid:key>/end/", local_end, name="local-end"),
]
