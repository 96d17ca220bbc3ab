"""Addresses of sending."""

from django.urls import URLPattern, path

from sites.sending.pages import calls, copying, sending

urlpatterns: list[URLPattern] = [
    path("cases/<uuid:key>/send/", sending.case_send, name="case-send"),
    path("cases/<uuid:key>/send/mail/", sending.case_send_mail, name="case-send-mail"),
    path("cases/<uuid:key>/send/zip/", sending.case_send_zip, name="case-send-zip"),
    path("cases/<uuid:key>/copy/", copying.case_copy, name="case-copy"),
    path("cases/<uuid:key>/calls/", calls.case_calls, name="case-calls"),
    path("calls/<uuid:key>/chased/", calls.chased, name="call-chased"),
    path("operators/<slug:operator>/form/", copying.operator_form, name="operator-form"),
    path("dispatches/<uuid:key>/again/", sending.dispatch_again, name="dispatch-again"),
    path("dispatches/<uuid:key>/end/", sending.dispatch_found_out, name="dispatch-end"),
]
