"""People, their roles and access, and the firm."""

import hashlib
from collections.abc import Iterable, Mapping

from allauth.mfa.models import Authenticator
from django.contrib.auth.password_validation import validate_password
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from sites.house.writing.events import record
from sites.people.logos import small_png
from sites.people.models import MANAGER, Firm, Person, Role
from sites.people.words import ROLES


class PersonRefused(Exception):  # noqa: N818 - it is said to people, and reads so
    """Nothing was done with a person: which field is at fault, and what to do."""

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
    wanted = _wanted_roles(roles)
    _only_one_line(name)
    try:
        validate_password(password)
    except ValidationError as fault:
        raise PersonRefused("password", " ".join(fault.messages)) from None
    person = _new_person(email, name, password)
    person.roles.set([role(key) for key in wanted])
    record("person.created", by=by, subject=person, data={"roles": wanted})
    return person


def forget_wrong_passwords() -> str:
    """Begin the counts of wrong passwords anew, at night.

    Counts written while the clock was ahead would otherwise close sign-in until that time comes.
    """
    cache.clear()
    return "The counts begin anew."


@transaction.atomic
def invite_person(*, email: str, name: str, roles: Iterable[str], by: Person) -> Person:
    """Make a person who has no password yet; a link of `pages.people` is the way to choose one.

    Raises PersonRefused as `create_person` does, and for whoever is no manager.
    """
    _only_a_manager(by)
    wanted = _wanted_roles(roles)
    _only_one_line(name)
    person = _new_person(email, name, None, invited_at=timezone.now())
    person.roles.set([role(key) for key in wanted])
    record("person.invited", by=by, subject=person, data={"roles": wanted})
    return person


@transaction.atomic
def invite_again(*, person: Person, by: Person) -> Person:
    """Let a person choose a new password, by a new link; earlier links no longer work.

    Somebody whose access had ended comes back by it, with the same roles.
    """
    _only_a_manager(by)
    row = _locked(person)
    if not row.is_active or not row.has_usable_password():
        row.set_unusable_password()
        row.invited_at = timezone.now()
    row.is_active, row.ended_at = True, None
    row.save()
    record("person.link-made", by=by, subject=row)
    return row


@transaction.atomic
def change_roles(*, person: Person, roles: Iterable[str], by: Person) -> None:
    """Give a person these roles and no others.

    Raises PersonRefused for no role, for one that is not in ROLES, for the last manager without
    this role, and for whoever is no manager.
    """
    _only_a_manager(by)
    wanted = _wanted_roles(roles)
    row = _locked(person)
    if MANAGER not in wanted:
        _not_the_last_manager(row)
    row.roles.set([role(key) for key in wanted])
    record("person.roles-changed", by=by, subject=row, data={"roles": wanted})


@transaction.atomic
def end_access(*, person: Person, by: Person) -> None:
    """End a person's access at once: sessions, links, password and one-time codes.

    All that the person did and has stays. An invitation is taken back in the same way. Raises
    PersonRefused for the last manager, and for whoever is no manager.
    """
    _only_a_manager(by)
    row = _locked(person)
    _not_the_last_manager(row)
    # A session and a link rest on the password: with a new one, none that was made works again.
    row.set_unusable_password()
    row.is_active, row.ended_at = False, timezone.now()
    row.save()
    Authenticator.objects.filter(user=row).delete()
    record("person.ended", by=by, subject=row)


@transaction.atomic
def forget_code(*, person: Person, by: Person) -> None:
    """Take a person's one-time code away, after a lost telephone."""
    _only_a_manager(by)
    row = _locked(person)
    Authenticator.objects.filter(user=row).delete()
    record("person.code-forgotten", by=by, subject=row)


@transaction.atomic
def switch_morning_mail(*, on: bool, by: Person) -> None:
    """Switch the morning mail of a person on or off."""
    if Person.objects.filter(pk=by.pk).exclude(morning_mail=on).update(morning_mail=on):
        record("person.mail-switched", by=by, subject=by, data={"on": on})


@transaction.atomic
def set_password(*, person: Person, password: str) -> Person:
    """Keep the password that a person chose. Every other session of the person ends.

    Raises PersonRefused for a weak password, and for somebody whose access has ended.
    """
    row = _locked(person)
    if not row.is_active:
        raise PersonRefused("", "Your access has ended. Ask a manager of your firm.")
    try:
        validate_password(password, row)
    except ValidationError as fault:
        raise PersonRefused("new_password1", " ".join(fault.messages)) from None
    row.set_password(password)
    row.save(update_fields=["password"])
    record("person.password-set", by=row, subject=row)
    return row


@transaction.atomic
def note_code(*, set_up: bool, by: Person) -> None:
    """Log that a person set up a one-time code, or stopped using it, in the act's transaction."""
    record("person.code-set-up" if set_up else "person.code-ended", by=by, subject=by)


@transaction.atomic
def save_firm(
    given: Mapping[str, str],
    *,
    requires_code: bool | None = None,
    logo: bytes | None = None,
    by: Person | None = None,
) -> Firm:
    """Change the given columns of the firm; make its row if there is none.

    `logo` is a picture as it came, empty to take the logo out; None leaves a column as it is.
    Raises ValidationError where a value can't be kept, LogoError for a file that is no logo, and
    PersonRefused for whoever is no manager.
    """
    if by is not None:
        _only_a_manager(by)
    firm = Firm.objects.select_for_update().first() or Firm()
    for name, value in given.items():
        setattr(firm, name, value.strip())
    fields = sorted(given)
    if requires_code is not None and requires_code != firm.requires_code:
        firm.requires_code = requires_code
        fields.append("requires_code")
    if logo is not None:
        firm.logo = small_png(logo) if logo else b""
        firm.logo_digest = hashlib.sha256(firm.logo).hexdigest() if logo else ""
        fields.append("logo")
    firm.full_clean()
    firm.save()
    record("firm.saved", by=by, subject=firm, data={"fields": fields})
    return firm


def role(key: str) -> Role:
    """The row of a role in ROLES, made at first use."""
    name, may = ROLES[key]
    return Role.objects.get_or_create(key=key, defaults={"name": name, "may": may})[0]


def _new_person(email: str, name: str, password: str | None, **fields: object) -> Person:
    """A new row. Raises PersonRefused for an address that is invalid or taken."""
    if Person.objects.filter(email__iexact=email.strip()).exists():
        raise PersonRefused("email", "Somebody has this e-mail address already.")
    try:
        # A transaction of its own: another process may take the address in between.
        with transaction.atomic():
            return Person.objects.create_user(email, password, name=name.strip(), **fields)
    except IntegrityError:
        raise PersonRefused("email", "Somebody has this e-mail address already.") from None
    except ValidationError as fault:
        field, says = next(iter(fault.message_dict.items()))
        raise PersonRefused(field, " ".join(says)) from None


def _wanted_roles(roles: Iterable[str]) -> list[str]:
    wanted = sorted(set(roles))
    if not wanted:
        raise PersonRefused("roles", "Give the person a role.")
    for key in wanted:
        if key not in ROLES:
            raise PersonRefused("roles", f'There is no role "{key}"; use {", ".join(ROLES)}.')
    return wanted


def _only_one_line(name: str) -> None:
    if not name.strip():
        raise PersonRefused("name", "Type the person’s name.")
    if not name.strip().isprintable():
        raise PersonRefused("name", "Type the name on one line, without special characters.")


def _only_a_manager(by: Person) -> None:
    if not by.is_manager:
        raise PersonRefused("", "Only a manager may do this.")


def _locked(person: Person) -> Person:
    return Person.objects.select_for_update().get(pk=person.pk)


def _not_the_last_manager(person: Person) -> None:
    """Raises PersonRefused if nobody but this person could manage afterwards.

    All managers are locked, so that two who end each other at once cannot both succeed.
    """
    managers = Person.objects.filter(is_active=True, roles__key=MANAGER).values("pk")
    locked = list(Person.objects.select_for_update().filter(pk__in=managers).order_by("pk"))
    able = {each.pk for each in locked if each.has_usable_password()}
    if person.pk in able and len(able) == 1:
        raise PersonRefused("", "This is the last manager. Make somebody else a manager first.")
