"""The address that says whether the application works."""

from django.urls import URLPattern, path

from sites.house.pages.health import health

urlpatterns: list[URLPattern] = [
    path("health/", health, name="health"),
]
