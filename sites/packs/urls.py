"""Addresses of packs: preview, issuing, issued ones, and their attachments."""

from django.urls import URLPattern, path

from sites.packs.pages import attachments, erasing, files, issued, preview, swap

urlpatterns: list[URLPattern] = [
    path("applications/<uuid:key>/preview/", preview.pack_preview, name="pack-preview"),
    path("applications/<uuid:key>/preview.pdf", preview.preview_print, name="preview-print"),
    path("applications/<uuid:key>/issue/", preview.issue, name="issue"),
    path("applications/<uuid:key>/without/", preview.without, name="send-without"),
    path("packs/<uuid:key>/", issued.pack, name="pack"),
    path("packs/<uuid:key>/status/", issued.pack_status, name="pack-status"),
    path("packs/<uuid:key>/print/", issued.print_again, name="pack-print-again"),
    path("packs/<uuid:key>/rebuild/", issued.rebuild, name="pack-rebuild"),
    path("packs/<uuid:key>/rebuilt/<uuid:task>/", issued.rebuilt, name="pack-rebuilt"),
    path("packs/<uuid:key>/recheck/", issued.recheck, name="pack-recheck"),
    path("packs/<uuid:key>/erase/", erasing.erase, name="pack-erase"),
    path("packs/<uuid:key>/pack.pdf", files.pack_print, name="pack-print"),
    path("packs/<uuid:key>/annex.pdf", files.annex_print, name="annex-print"),
    path("packs/<uuid:key>/notice.pdf", files.notice_print, name="notice-print"),
    path("packs/<uuid:key>/pack.json", files.pack_data, name="pack-data"),
    path("cases/<uuid:key>/attachments/", attachments.attachment_add, name="attachment-add"),
    path("cases/<uuid:key>/swap/", swap.case_swap, name="case-swap"),
    path("attachments/<uuid:key>/", files.attachment, name="attachment"),
    path(
        "attachments/<uuid:key>/take-out/",
        attachments.attachment_take_out,
        name="attachment-take-out",
    ),
]
