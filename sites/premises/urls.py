"""Addresses of site files."""

from django.urls import URLPattern, path

from sites.premises.pages.doubles import premises_double
from sites.premises.pages.importing import premises_import
from sites.premises.pages.saving import design_site_file

urlpatterns: list[URLPattern] = [
    path("premises/import/", premises_import, name="premises-import"),
    path("premises/<uuid:key>/double/", premises_double, name="premises-double"),
    path("designs/<uuid:key>/site-file/", design_site_file, name="design-site-file"),
]
