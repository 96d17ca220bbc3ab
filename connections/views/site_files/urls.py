"""Addresses of site files."""

from django.urls import URLPattern, path

from connections.views.site_files.importing import premises_import
from connections.views.site_files.saving import design_site_file

urlpatterns: list[URLPattern] = [
    path("premises/import/", premises_import, name="premises-import"),
    path("designs/<uuid:key>/site-file/", design_site_file, name="design-site-file"),
]
