"""Addresses of looking again at all sites, and of changing local entries after such a look."""

from django.urls import URLPattern, path

from sites.looks.pages import acts, local
from sites.looks.pages import showing as pages

urlpatterns: list[URLPattern] = [
    path("screening/", pages.screenings, name="screenings"),
    path("screening/<uuid:key>/", pages.screening, name="screening"),
    path("screening/<uuid:key>/progress/", pages.progress, name="screening-progress"),
    path("screening/<uuid:key>/rest/", acts.ask_rest, name="screening-rest"),
    path("screening/<uuid:key>/looked/", acts.all_looked, name="screening-all-looked"),
    path("screening/rows/<uuid:key>/looked/", acts.looked, name="screening-looked"),
    path("rulebook/local/new/value/", local.local_new_value, name="local-new-value"),
    path("rulebook/local/new/cap/", local.local_new_cap, name="local-new-cap"),
    path("rulebook/local/new/condition/", local.local_new_condition, name="local-new-condition"),
    path("rulebook/local/load/", local.local_load, name="local-load"),
    path("rulebook/local/<uuid:key>/end/", local.local_end, name="local-end"),
]
