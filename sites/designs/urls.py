"""Addresses of the designs of a premises."""

from django.urls import URLPattern, path

from sites.designs.pages.choosing import design_choose, design_copy, design_from_remedy
from sites.designs.pages.costs import choice, costs, design_cost
from sites.designs.pages.energy import ask_energy, energy_file, energy_progress, enter_energy
from sites.designs.pages.limits import (
    design_limits,
    limits_again,
    limits_design,
    limits_progress,
    limits_stop,
)
from sites.designs.pages.side_by_side import designs, designs_print

_ENERGY = "premises/<uuid:key>/designs/energy/"
_LIMITS = "designs/<uuid:key>/limits/"

urlpatterns: list[URLPattern] = [
    path("premises/<uuid:key>/designs/", designs, name="designs"),
    path("premises/<uuid:key>/designs.pdf", designs_print, name="designs-print"),
    path("premises/<uuid:key>/costs/", costs, name="costs"),
    path("premises/<uuid:key>/choice/", choice, name="choice"),
    path("designs/<uuid:key>/cost/", design_cost, name="design-cost"),
    path("designs/<uuid:key>/copy/", design_copy, name="design-copy"),
    path("designs/<uuid:key>/remedies/", design_from_remedy, name="design-from-remedy"),
    path("designs/<uuid:key>/choose/", design_choose, name="design-choose"),
    path(_ENERGY, enter_energy, name="designs-energy"),
    path(f"{_ENERGY}ask/", ask_energy, name="designs-energy-ask"),
    path(f"{_ENERGY}progress/", energy_progress, name="designs-energy-progress"),
    path("energy-files/<uuid:key>/", energy_file, name="energy-file"),
    path(_LIMITS, design_limits, name="design-limits"),
    path(f"{_LIMITS}progress/", limits_progress, name="design-limits-progress"),
    path(f"{_LIMITS}stop/", limits_stop, name="design-limits-stop"),
    path(f"{_LIMITS}again/", limits_again, name="design-limits-again"),
    path(f"{_LIMITS}design/", limits_design, name="design-limits-copy"),
]
