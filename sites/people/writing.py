"""People and their roles."""

from collections.abc import Iterable, Mapping

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from sites.house.writing.events import record
from sites.people.models import ENGINEER, INSTALLER, MANAGER, OFFICE, Firm, Person, Role

ROLES: dict[str, tuple[str, str]] = {
    MANAGER: (
        "Manager",
        "Does what the office does, invites people, gives them roles and keeps the firm’s details.",
    ),
    OFFICE: ("Office", "Types premises and designs, answers questions and adds attachments."),
    ENGINEER: (
        "Engineer",
        "Does what the office does, decides findings, asks questions and issues packs.",
    ),
    INSTALLER: ("Installer", "Sees the cases given to him and works on them, and no others."),
}
"""The roles that the application knows: name, and what they allow."""


class PersonRefused(Exception):  # noqa: N818 - it is said to people, and reads so
    """A person can't be made: which field is at fault, and what to do."""

    def __init__(self, field: str, says: str) -> None:
        super().__init__(says)
        self.field = field


@transaction.atomic
def create_person(
    *, email: str, name: str, password: str, roles: Iterable[str], by: Person | None
) -> Person:
    """Make a person who can sign in; `by=None` is the installation itself.

    Raises PersonRefused for an address that is invalid or taken, an empty name, a weak password, no
    role, and a role that is not in ROLES.
    """
    wanted = sorted(set(roles))
    if not wanted:
        raise PersonRefused("roles", "Give the person a role.")
    for key in wanted:
        if key not in ROLES:
            raise PersonRefused("roles", f'There is no role "{key}"; use {", ".join(ROLES)}.')
    if not name.strip():
        raise PersonRefused("name", "Type the person’s name.")
    try:
        validate_password(password)
    except ValidationError as fault:
        raise PersonRefused("password", " ".join(fault.messages)) from None
    if Person.objects.filter(email__iexact=email.strip()).exists():
        raise PersonRefused("email", "Somebody has this e-mail address already.")
    try:
        # A transaction of its own: another process may take the address in between.
        with transaction.atomic():
            person = Person.objects.create_user(email, password, name=name.strip())
    except IntegrityError:
        raise PersonRefused("email", "Somebody has this e-mail address already.") from None
    except ValidationError as fault:
        field, says = next(iter(fault.message_dict.items()))
        raise PersonRefused(field, " ".join(says)) from None
    person.roles.set([role(key) for key in wanted])
    record("person.created", by=by, subject=person, data={"roles": wanted})
    return person


@transaction.atomic
def save_firm(given: Mapping[str, str]) -> Firm:
    """Change the given columns of the firm; make its row if there is none.

    Raises ValidationError where a value can't be kept.
    """
    firm = Firm.objects.select_for_update().first() or Firm()
    for name, value in given.items():
        setattr(firm, name, value.strip())
    firm.full_clean()
    firm.save()
    record("firm.saved", by=None, subject=firm, data={"fields": sorted(given)})
    return firm


def role(key: str) -> Role:
    """The row of a role in ROLES, made at first use."""
    name, may = ROLES[key]
    return Role.objects.get_or_create(key=key, defaults={"name": name, "may": may})[0]
