"""The firm's details and logo."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from sites.people.fetching import manager_of
from sites.people.forms import FirmForm
from sites.people.logos import LogoError
from sites.people.models import Firm, Person
from sites.people.pages.boxes import add_fault, faults_of
from sites.people.reading import logo_of_firm
from sites.people.writing import save_firm

DETAILS = ("name", "address", "email", "phone", "registration")


@require_http_methods(["GET", "HEAD", "POST"])
def firm(request: HttpRequest) -> HttpResponse:
    """Show and change the firm's details."""
    manager = manager_of(request)
    kept = Firm.objects.defer("logo").first()
    if request.method == "POST":
        form = FirmForm(request.POST, request.FILES)
        if form.is_valid() and _save(form, manager):
            messages.success(request, "The firm’s details are kept.")
            return redirect("firm")
    else:
        fields = (*DETAILS, "requires_code")
        form = FirmForm(initial={each: getattr(kept, each) for each in fields} if kept else {})
    context = {
        "form": form,
        "faults": faults_of(form) if form.is_bound else [],
        "firm": kept,
    }
    return render(request, "people/firm.html", context, status=422 if form.errors else 200)


def _save(form: FirmForm, manager: Person) -> bool:
    """Whether all was kept; what was refused stands at its box."""
    typed = form.cleaned_data
    logo = b"" if typed["no_logo"] else typed["logo"].read() if typed["logo"] else None
    try:
        save_firm(
            {each: typed[each] for each in DETAILS},
            requires_code=typed["requires_code"],
            logo=logo,
            by=manager,
        )
    except LogoError as fault:
        add_fault(form, "logo", str(fault))
    except ValidationError as fault:
        for field, says in fault.message_dict.items():
            add_fault(form, field, " ".join(says))
    return not form.errors


@login_not_required
@require_safe
def firm_logo(request: HttpRequest) -> HttpResponse:
    """The firm's logo, which the page of sign-in shows as well."""
    picture = logo_of_firm()
    if not picture:
        raise Http404
    return HttpResponse(picture, content_type="image/png")
