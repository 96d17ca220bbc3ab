"""Addresses of the survey sheet, the premises and its designs."""

from django.urls import URLPattern, path

from connections.views.sheet.design import design_panel, design_sheet, draft_drop
from connections.views.sheet.designs import design_choose, design_copy, design_from_remedy
from connections.views.sheet.new import new_draft_drop, new_panel, premises_new
from connections.views.sheet.premises import premises
from connections.views.sheet.rows import sheet_row

urlpatterns: list[URLPattern] = [
    path("premises/new/", premises_new, name="premises-new"),
    path("premises/new/panel/", new_panel, name="new-panel"),
    path("premises/new/draft/drop/", new_draft_drop, name="new-draft-drop"),
    path("premises/<uuid:key>/", premises, name="premises"),
    path("designs/<uuid:key>/sheet/", design_sheet, name="design-sheet"),
    path("designs/<uuid:key>/panel/", design_panel, name="design-panel"),
    path("designs/<uuid:key>/draft/drop/", draft_drop, name="draft-drop"),
    path("designs/<uuid:key>/copy/", design_copy, name="design-copy"),
    path("designs/<uuid:key>/remedies/", design_from_remedy, name="design-from-remedy"),
    path("designs/<uuid:key>/choose/", design_choose, name="design-choose"),
    path("sheet/rows/<slug:group>/", sheet_row, name="sheet-row"),
]
