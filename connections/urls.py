"""Every address of the site: each group of pages names its own."""

from connections.views.catalogue.urls import urlpatterns as catalogue
from connections.views.designs.urls import urlpatterns as designs
from connections.views.entry.urls import urlpatterns as entry
from connections.views.local.urls import urlpatterns as local
from connections.views.packs.urls import urlpatterns as packs
from connections.views.review.urls import urlpatterns as review
from connections.views.rulebook.urls import urlpatterns as rulebook
from connections.views.screening.urls import urlpatterns as screening
from connections.views.sheet.urls import urlpatterns as sheet
from connections.views.site_files.urls import urlpatterns as site_files

urlpatterns = [
    *entry,
    *sheet,
    *site_files,
    *designs,
    *review,
    *packs,
    *screening,
    *local,
    *rulebook,
    *catalogue,
]

handler400 = "connections.views.trouble.bad_request"
handler403 = "connections.views.trouble.refused"
handler404 = "connections.views.trouble.not_there"
handler500 = "connections.views.trouble.went_wrong"
