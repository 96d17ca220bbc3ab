"""Addresses of the equipment catalogue."""

from django.urls import URLPattern, path

from sites.catalogue import pages

urlpatterns: list[URLPattern] = [
    path("catalogue/", pages.equipment, name="equipment"),
    path("catalogue/new/", pages.equipment_new, name="equipment-new"),
    path("catalogue/<uuid:key>/", pages.equipment_one, name="equipment-one"),
    path("catalogue/<uuid:key>/take-out/", pages.equipment_take_out, name="equipment-take-out"),
]
