"""Addresses of the quick look."""

from django.urls import URLPattern, path

from sites.ways.pages import keep, look

urlpatterns: list[URLPattern] = [
    path("quick-look/", look, name="quick-look"),
    path("quick-look/keep/", keep, name="quick-look-keep"),
]
