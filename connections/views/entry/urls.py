"""Addresses of these pages."""

from django.urls import URLPattern, path

from connections.views.entry.events import events
from connections.views.entry.health import health
from connections.views.entry.signing import SignIn, sign_out
from connections.views.entry.token import fresh_token
from connections.views.entry.work import work_list

urlpatterns: list[URLPattern] = [
    path("", work_list, name="work-list"),
    path("sign-in/", SignIn.as_view(), name="sign-in"),
    path("sign-out/", sign_out, name="sign-out"),
    path("health/", health, name="health"),
    path("token/", fresh_token, name="fresh-token"),
    path("premises/<uuid:key>/events/", events, name="events"),
]
