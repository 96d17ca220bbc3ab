"""People and the firm, as their pages show them."""

from allauth.mfa.models import Authenticator
from django.db.models import Count, Q
from msgspec import Struct

from sites.people.models import Firm, Person
from sites.people.words import ROLES


class Shown(Struct, frozen=True):
    """A person on the list: `state` in words, and whether a one-time code is set up."""

    person: Person
    roles: str
    state: str
    has_code: bool


def people_shown() -> list[Shown]:
    """Everybody, those who can sign in first; three queries whatever their number."""
    found = (
        Person.objects.prefetch_related("roles")
        .annotate(
            codes=Count("authenticator", filter=Q(authenticator__type=Authenticator.Type.TOTP))
        )
        .order_by("-is_active", "name", "pk")
    )
    return [
        Shown(each, roles_in_words(each), state_of(each), bool(getattr(each, "codes", 0)))
        for each in found
    ]


def roles_in_words(person: Person) -> str:
    """The person's roles by name, in the order of ROLES."""
    held = {each.key for each in person.roles.all()}
    return ", ".join(name for key, (name, _may) in ROLES.items() if key in held)


def state_of(person: Person) -> str:
    """Whether the person can sign in, in words."""
    if not person.is_active:
        return "Access ended" if person.ended_at else "Cannot sign in"
    if not person.has_usable_password():
        return "Invited"
    return "Can sign in"


def has_code(person: Person) -> bool:
    """Whether the person signs in with a one-time code."""
    return Authenticator.objects.filter(user=person, type=Authenticator.Type.TOTP).exists()


def logo_of_firm() -> bytes:
    """The firm's logo as PNG of at most 600 by 240 pixels; empty if there is none."""
    found = Firm.objects.values_list("logo", flat=True).first()
    return bytes(found) if found else b""
