"""Addresses of signing in and out."""

from django.urls import URLPattern, path

from sites.people.pages.signing import SignIn, sign_out
from sites.people.pages.token import fresh_token

urlpatterns: list[URLPattern] = [
    path("sign-in/", SignIn.as_view(), name="sign-in"),
    path("sign-out/", sign_out, name="sign-out"),
    path("token/", fresh_token, name="fresh-token"),
]
