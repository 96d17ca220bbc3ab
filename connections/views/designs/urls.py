"""Addresses of the designs of a premises."""

from django.urls import URLPattern, path

from connections.views.designs.pages import designs

urlpatterns: list[URLPattern] = [
    path("premises/<uuid:key>/designs/", designs, name="designs"),
]
