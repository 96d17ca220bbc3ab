"""Addresses of who has a case."""

from django.urls import URLPattern, path

from sites.cases.pages import case_installer, person_hand_over

urlpatterns: list[URLPattern] = [
    path("cases/<uuid:key>/installer/", case_installer, name="case-installer"),
    path("people/<uuid:key>/hand-over/", person_hand_over, name="person-hand-over"),
]
