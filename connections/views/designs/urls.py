"""Addresses of the designs of a premises."""

from django.urls import URLPattern, path

from connections.views.designs.energy import (
    ask_energy,
    energy_file,
    energy_progress,
    enter_energy,
)
from connections.views.designs.pages import designs, designs_print
from connections.views.designs.remedies import remedy_years

_ENERGY = "premises/<uuid:key>/designs/energy/"

urlpatterns: list[URLPattern] = [
    path("premises/<uuid:key>/designs/", designs, name="designs"),
    path("premises/<uuid:key>/designs.pdf", designs_print, name="designs-print"),
    path(_ENERGY, enter_energy, name="designs-energy"),
    path(f"{_ENERGY}ask/", ask_energy, name="designs-energy-ask"),
    path(f"{_ENERGY}progress/", energy_progress, name="designs-energy-progress"),
    path("designs/<uuid:key>/remedies/years/", remedy_years, name="remedy-years"),
    path("energy-files/<uuid:key>/", energy_file, name="energy-file"),
]
