"""Addresses of sending."""

from django.urls import URLPattern, path

from sites.sending.pages import sending

urlpatterns: list[URLPattern] = [
    path("cases/<uuid:key>/send/", sending.case_send, name="case-send"),
    path("cases/<uuid:key>/send/mail/", sending.case_send_mail, name="case-send-mail"),
    path("cases/<uuid:key>/send/zip/", sending.case_send_zip, name="case-send-zip"),
    path("dispatches/<uuid:key>/again/", sending.dispatch_again, name="dispatch-again"),
    path("dispatches/<uuid:key>/end/", sending.dispatch_found_out, name="dispatch-end"),
]
