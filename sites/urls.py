"""Every address of the site: each subject names its own."""

from sites.cases.urls import urlpatterns as cases
from sites.catalogue.urls import urlpatterns as catalogue
from sites.days.urls import urlpatterns as days
from sites.deciding.urls import urlpatterns as deciding
from sites.designs.urls import urlpatterns as designs
from sites.desk.urls import urlpatterns as desk
from sites.energy.urls import urlpatterns as energy
from sites.house.urls import urlpatterns as house
from sites.looks.urls import urlpatterns as looks
from sites.packs.urls import urlpatterns as packs
from sites.people.urls import urlpatterns as people
from sites.premises.urls import urlpatterns as premises
from sites.prices.urls import urlpatterns as prices
from sites.review.urls import urlpatterns as review
from sites.rulebook.urls import urlpatterns as rulebook
from sites.sending.urls import urlpatterns as sending
from sites.ways.urls import urlpatterns as ways

urlpatterns = [
    *desk,
    *days,
    *looks,
    *sending,
    *packs,
    *review,
    *ways,
    *designs,
    *prices,
    *energy,
    *deciding,
    *premises,
    *cases,
    *rulebook,
    *catalogue,
    *people,
    *house,
]

handler400 = "sites.house.pages.trouble.bad_request"
handler403 = "sites.house.pages.trouble.refused"
handler404 = "sites.house.pages.trouble.not_there"
handler500 = "sites.house.pages.trouble.went_wrong"
