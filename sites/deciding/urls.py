"""Addresses of the survey sheet and panel, and of the page that explains a decision."""

from django.urls import URLPattern, path

from sites.deciding.pages.explained import case_explained
from sites.deciding.pages.new_sheet import new_draft_drop, new_panel, premises_new
from sites.deciding.pages.rows import sheet_row
from sites.deciding.pages.sheet import design_panel, design_sheet, draft_drop

urlpatterns: list[URLPattern] = [
    path("premises/new/", premises_new, name="premises-new"),
    path("premises/new/panel/", new_panel, name="new-panel"),
    path("premises/new/draft/drop/", new_draft_drop, name="new-draft-drop"),
    path("designs/<uuid:key>/sheet/", design_sheet, name="design-sheet"),
    path("designs/<uuid:key>/panel/", design_panel, name="design-panel"),
    path("designs/<uuid:key>/draft/drop/", draft_drop, name="draft-drop"),
    path("sheet/rows/<slug:group>/", sheet_row, name="sheet-row"),
    path("cases/<uuid:key>/explained/", case_explained, name="case-explained"),
]
