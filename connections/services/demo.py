"""Loading the invented demonstration: a firm, two people, and premises from the demo site files."""

from pathlib import Path

from django.db import transaction

from connections.facts.reading import read_site
from connections.services.premises import import_premises
from sites.models import Firm, Person, Premises
from sites.services.people import create_person

SITES = Path(__file__).resolve().parents[1] / "demo"
PASSWORD = "invented-demo-pass"
PEOPLE = (
    ("office@harrowlane.example", "Odile Marsh (invented)", "office"),
    ("engineer@harrowlane.example", "Edmund Reed (invented)", "engineer"),
)


def load_demo() -> tuple[int, int]:
    """Load what is not there yet; how many people and premises were added."""
    with transaction.atomic():
        if not Firm.objects.exists():
            Firm.objects.create(
                name="Harrow Lane Solar (invented firm)",
                address="Unit 4, Old Creamery Yard\nFennhaven",
                email="office@harrowlane.example",
                phone="01632 960 140",
                registration="invented registration HL-0417",
            )
    people = 0
    for email, name, role in PEOPLE:
        if not Person.objects.filter(email__iexact=email).exists():
            create_person(email=email, name=name, password=PASSWORD, roles=(role,), by=None)
            people += 1
    added = 0
    by = Person.objects.filter(email__iexact=PEOPLE[0][0]).first()
    for path in sorted(SITES.glob("*.json")):
        site = read_site(path.read_bytes())
        if not Premises.objects.filter(reference=site.reference).exists():
            import_premises(site, by=by)
            added += 1
    return people, added
