"""Addresses for a watch."""

from django.urls import URLPattern, path

from sites.house.pages.health import health, ready

urlpatterns: list[URLPattern] = [
    path("health/", health, name="health"),
    path("ready/", ready, name="ready"),
]
