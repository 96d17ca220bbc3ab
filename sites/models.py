"""Every model of every subject, for Django to find. Other code imports from the subject."""

from sites.cases import models as cases
from sites.catalogue import models as catalogue
from sites.days import models as days
from sites.energy import models as energy
from sites.house import models as house
from sites.looks import models as looks
from sites.packs import models as packs
from sites.people import models as people
from sites.premises import models as premises
from sites.prices import models as prices
from sites.review import models as review
from sites.rulebook import models as rulebook
from sites.sending import models as sending

__all__ = [
    "cases",
    "catalogue",
    "days",
    "energy",
    "house",
    "looks",
    "packs",
    "people",
    "premises",
    "prices",
    "review",
    "rulebook",
    "sending",
]
