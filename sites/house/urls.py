"""Address of the health page."""

from django.urls import URLPattern, path

from sites.house.pages.health import health

urlpatterns: list[URLPattern] = [
    path("health/", health, name="health"),
]
