"""Addresses of the designs of a premises."""

from django.urls import URLPattern, path

from connections.views.designs.pages import designs, designs_print

urlpatterns: list[URLPattern] = [
    path("premises/<uuid:key>/designs/", designs, name="designs"),
    path("premises/<uuid:key>/designs.pdf", designs_print, name="designs-print"),
]
