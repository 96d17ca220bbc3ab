"""Addresses of the designs of a premises."""

from django.urls import URLPattern, path

from connections.views.designs.energy import (
    ask_energy,
    energy_file,
    energy_progress,
    enter_energy,
)
from connections.views.designs.limits import (
    design_limits,
    limits_again,
    limits_design,
    limits_progress,
    limits_stop,
)
from connections.views.designs.pages import designs, designs_print
from connections.views.designs.remedies import remedy_years

_ENERGY = "premises/<uuid:key>/designs/energy/"
_LIMITS = "designs/<uuid:key>/limits/"

urlpatterns: list[URLPattern] = [
    path("premises/<uuid:key>/designs/", designs, name="designs"),
    path("premises/<uuid:key>/designs.pdf", designs_print, name="designs-print"),
    path(_ENERGY, enter_energy, name="designs-energy"),
    path(f"{_ENERGY}ask/", ask_energy, name="designs-energy-ask"),
    path(f"{_ENERGY}progress/", energy_progress, name="designs-energy-progress"),
    path("designs/<uuid:key>/remedies/years/", remedy_years, name="remedy-years"),
    path("energy-files/<uuid:key>/", energy_file, name="energy-file"),
    path(_LIMITS, design_limits, name="design-limits"),
    path(f"{_LIMITS}progress/", limits_progress, name="design-limits-progress"),
    path(f"{_LIMITS}stop/", limits_stop, name="design-limits-stop"),
    path(f"{_LIMITS}again/", limits_again, name="design-limits-again"),
    path(f"{_LIMITS}design/", limits_design, name="design-limits-copy"),
]
