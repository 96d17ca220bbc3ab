"""The address of what remedies cost in the energy of a year."""

from django.urls import URLPattern, path

from sites.energy.pages.remedies import remedy_years

urlpatterns: list[URLPattern] = [
    path("designs/<uuid:key>/remedies/years/", remedy_years, name="remedy-years"),
]
