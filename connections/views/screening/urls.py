"""Addresses of looking again at all sites."""

from django.urls import URLPattern, path

from connections.views.screening import acts, pages

urlpatterns: list[URLPattern] = [
    path("screening/", pages.screenings, name="screenings"),
    path("screening/<uuid:key>/", pages.screening, name="screening"),
    path("screening/<uuid:key>/progress/", pages.progress, name="screening-progress"),
    path("screening/<uuid:key>/rest/", acts.ask_rest, name="screening-rest"),
    path("screening/<uuid:key>/looked/", acts.all_looked, name="screening-all-looked"),
    path("screening/rows/<uuid:key>/looked/", acts.looked, name="screening-looked"),
]
