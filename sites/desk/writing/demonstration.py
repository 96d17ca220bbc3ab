"""Loads the invented demonstration: a firm with equipment, four people, and premises."""

from django.db import transaction

from connections.facts.reading import read_site
from sites.catalogue.models import Equipment
from sites.catalogue.writing import add_equipment
from sites.desk.demonstration import SITES
from sites.desk.writing.demonstration_prices import enter_demo_prices
from sites.desk.writing.demonstration_sent import REFERENCE, send_demo
from sites.desk.writing.demonstration_years import enter_demo_years
from sites.people.models import Firm, Person
from sites.people.writing import create_person
from sites.premises.models import Premises
from sites.premises.writing.importing import import_premises

PASSWORD = "invented-demo-pass"
PEOPLE = (
    ("office@harrowlane.example", "Odile Marsh (invented)", "office"),
    ("engineer@harrowlane.example", "Edmund Reed (invented)", "engineer"),
    ("manager@harrowlane.example", "Mabel Thorn (invented)", "manager"),
    ("installer@harrowlane.example", "Ivor Alder (invented)", "installer"),
)
_TO_G98 = [{"standard": "G98", "type_tested": "full", "reference": "invented"}]
_TO_G99 = [{"standard": "G99", "type_tested": "full", "reference": "invented"}]
MODELS = (
    {"model": "H3.6", "source": "pv+storage", "rated_w": 3600, "standards": _TO_G98},
    {"model": "H5", "source": "pv+storage", "rated_w": 5000, "standards": _TO_G99},
    {"model": "H10 three-phase", "source": "pv+storage", "rated_w": 10_000, "phases": 3,
     "standards": _TO_G98},
    {"model": "S3.6", "source": "pv", "rated_w": 3600, "standards": _TO_G98},
)  # fmt: skip
MAKER = "Fennhaven Works (invented maker)"


def load_demo() -> tuple[int, int]:
    """Load what does not exist yet; return the numbers of people and premises added."""
    with transaction.atomic():
        if not Firm.objects.exists():
            Firm.objects.create(
                name="Harrow Lane Solar (invented firm)",
                address="Unit 4, Old Creamery Yard\nFennhaven",
                email="office@harrowlane.example",
                phone="01632 960 140",
                registration="invented registration HL-0417",
            )
        if not Equipment.objects.exists():
            for each in MODELS:
                add_equipment(wanted=Equipment(maker=MAKER, **each), by=None)
        enter_demo_prices(MAKER)
    people = 0
    for email, name, role in PEOPLE:
        if not Person.objects.filter(email__iexact=email).exists():
            create_person(email=email, name=name, password=PASSWORD, roles=(role,), by=None)
            people += 1
    added = 0
    by = Person.objects.filter(email__iexact=PEOPLE[0][0]).first()
    engineer = Person.objects.filter(email__iexact=PEOPLE[1][0]).first()
    for path in sorted(SITES.glob("*.json")):
        site = read_site(path.read_bytes())
        if not Premises.objects.filter(reference=site.reference).exists():
            case = import_premises(site, by=by)
            added += 1
            if by is not None:
                enter_demo_years(case, by)
            if site.reference.startswith(REFERENCE) and by is not None and engineer is not None:
                send_demo(case, office=by, engineer=engineer)
    return people, added
