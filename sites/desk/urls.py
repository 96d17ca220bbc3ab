"""Addresses of the work list and of the page of a premises."""

from django.urls import URLPattern, path

from sites.desk.pages.cases import (
    case_again,
    case_archive,
    case_commissioned,
    case_move,
    case_owner,
)
from sites.desk.pages.events import events, events_file
from sites.desk.pages.premises import premises
from sites.desk.pages.work import work_list

urlpatterns: list[URLPattern] = [
    path("", work_list, name="work-list"),
    path("premises/<uuid:key>/", premises, name="premises"),
    path("premises/<uuid:key>/events/", events, name="events"),
    path("premises/<uuid:key>/events.csv", events_file, name="events-file"),
    path("cases/<uuid:key>/moves/", case_move, name="case-move"),
    path("cases/<uuid:key>/commissioned/", case_commissioned, name="case-commissioned"),
    path("cases/<uuid:key>/owner/", case_owner, name="case-owner"),
    path("cases/<uuid:key>/archive/", case_archive, name="case-archive"),
    path("cases/<uuid:key>/again/", case_again, name="case-again"),
]
