"""The manager's pages of people: who is here, inviting, roles, ending access."""

from collections.abc import Callable
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from sites.house.fetching import row_or_404
from sites.people.fetching import manager_of
from sites.people.forms import InviteForm, RolesForm
from sites.people.mailing import send_mail_to
from sites.people.models import Firm, Person
from sites.people.pages.boxes import add_fault, faults_of, password_link
from sites.people.reading import has_code, people_shown, roles_in_words, state_of
from sites.people.words import INVITED, ROLES
from sites.people.writing import (
    PersonRefused,
    change_roles,
    end_access,
    forget_code,
    invite_again,
    invite_person,
)


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List everybody, with roles and whether they can sign in."""
    manager_of(request)
    return render(request, "people/people.html", {"people": people_shown()})


@require_http_methods(["GET", "HEAD", "POST"])
def invite(request: HttpRequest) -> HttpResponse:
    """Invite somebody: by mail, or by a link to hand on where no mail is set up."""
    manager = manager_of(request)
    form = InviteForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            person = invite_person(
                email=typed["email"], name=typed["name"], roles=typed["roles"], by=manager
            )
        except PersonRefused as fault:
            add_fault(form, fault.field, str(fault))
        else:
            return _link_page(request, person, manager)
    context = {
        "form": form,
        "faults": faults_of(form) if form.is_bound else [],
        "roles": _ticks(form),
        "by_mail": settings.MAIL_IS_SET_UP,
    }
    return render(request, "people/invite.html", context, status=422 if form.errors else 200)


@require_safe
def person_page(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show a person, and what a manager may do about the access."""
    manager_of(request)
    return _person(request, row_or_404(Person.objects.all(), key))


@require_POST
def person_roles(request: HttpRequest, key: UUID) -> HttpResponse:
    """Give the person these roles."""
    manager, person = manager_of(request), row_or_404(Person.objects.all(), key)
    form = RolesForm(request.POST)
    if form.is_valid():
        try:
            change_roles(person=person, roles=form.cleaned_data["roles"], by=manager)
        except PersonRefused as fault:
            form.add_error("roles", str(fault))
        else:
            messages.success(request, f"The roles of {person} are changed.")
            return redirect("person", person.key)
    return _person(request, person, form)


@require_POST
def person_end(request: HttpRequest, key: UUID) -> HttpResponse:
    """End the person's access at once, or take the invitation back."""

    def act(person: Person, manager: Person) -> str:
        end_access(person=person, by=manager)
        return f"The access of {person} has ended. What was done, typed and owned is kept."

    return _act(request, key, act)


@require_POST
def person_forget_code(request: HttpRequest, key: UUID) -> HttpResponse:
    """Take the person's one-time code away."""

    def act(person: Person, manager: Person) -> str:
        forget_code(person=person, by=manager)
        return f"{person} signs in with the password alone, until a new code is set up."

    return _act(request, key, act)


@require_POST
def person_link(request: HttpRequest, key: UUID) -> HttpResponse:
    """Make a link by which the person chooses a password, and send or show it."""
    manager, person = manager_of(request), row_or_404(Person.objects.all(), key)
    return _link_page(request, invite_again(person=person, by=manager), manager)


def _act(request: HttpRequest, key: UUID, act: Callable[[Person, Person], str]) -> HttpResponse:
    manager, person = manager_of(request), row_or_404(Person.objects.all(), key)
    try:
        messages.success(request, act(person, manager))
    except PersonRefused as fault:
        return _person(request, person, says=str(fault))
    return redirect("person", person.key)


def _person(
    request: HttpRequest, person: Person, form: RolesForm | None = None, *, says: str = ""
) -> HttpResponse:
    held = list(person.roles.values_list("key", flat=True))
    shown = form or RolesForm(initial={"roles": held})
    faults = faults_of(shown) if form else []
    if says:
        faults.append({"target": "", "label": "", "message": says})
    context = {
        "person": person,
        "held": roles_in_words(person),
        "state": state_of(person),
        "has_code": has_code(person),
        "form": shown,
        "roles": _ticks(shown),
        "faults": faults,
        "by_mail": settings.MAIL_IS_SET_UP,
        "myself": person == request.user,
    }
    return render(request, "people/person.html", context, status=422 if faults else 200)


def _ticks(form: RolesForm) -> list[dict[str, object]]:
    """The boxes of the roles, each with what the role may do."""
    chosen = form["roles"].value() or []
    return [
        {"key": key, "name": name, "may": may, "ticked": key in chosen}
        for key, (name, may) in ROLES.items()
    ]


def _link_page(request: HttpRequest, person: Person, manager: Person) -> HttpResponse:
    """Send the link by mail, or show it where no mail could be sent. Shown once, kept nowhere."""
    link = password_link(request, person)
    firm = Firm.objects.only("name").first()
    text = INVITED.format(name=person, by=manager, firm=firm or "the firm", link=link)
    sent = send_mail_to(person.email, subject="Your access to Meterside", text=text)
    context = {
        "person": person,
        "link": "" if sent else link,
        "by_mail": settings.MAIL_IS_SET_UP,
    }
    return render(request, "people/link.html", context)
