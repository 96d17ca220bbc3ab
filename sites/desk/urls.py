"""Addresses of the work list and of the page of a premises."""

from django.urls import URLPattern, path

from sites.desk.pages.events import events
from sites.desk.pages.premises import premises
from sites.desk.pages.work import work_list

urlpatterns: list[URLPattern] = [
    path("", work_list, name="work-list"),
    path("premises/<uuid:key>/", premises, name="premises"),
    path("premises/<uuid:key>/events/", events, name="events"),
]
