"""The page of a person's days, and the calendar that other programs read."""

from itertools import groupby

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from sites.days.models import CalendarAddress
from sites.days.reading import CaseDay, address_of, calendar_of, days_of_person
from sites.days.writing import end_address, make_address, note_use
from sites.people.fetching import person_of
from sites.premises.reading.site_rows import today


@never_cache
@require_safe
def days(request: HttpRequest) -> HttpResponse:
    """Show the days of one's own cases, or with `all` of every case: overdue first."""
    return _show(request)


@never_cache
@require_POST
def calendar_address(request: HttpRequest) -> HttpResponse:
    """Make a new calendar address and show it this once; with "end" end the one there is."""
    person = person_of(request)
    if request.POST.get("end"):
        end_address(by=person)
        messages.success(request, "The calendar address has ended.")
        return redirect("days")
    address = reverse("calendar-feed", args=[make_address(by=person)])
    return _show(request, new=request.build_absolute_uri(address))


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """Answer with the days of whoever the token belongs to, as they are now."""
    found = address_of(token)
    if found is None:
        raise Http404
    note_use(found)
    listed = days_of_person(found.person)
    answer = HttpResponse(
        calendar_of(found.person, listed, stamp=timezone.now()),
        content_type="text/calendar; charset=utf-8",
    )
    answer["Cache-Control"] = "no-store, private"
    answer["Referrer-Policy"] = "no-referrer"
    return answer


def _show(request: HttpRequest, new: str = "") -> HttpResponse:
    person = person_of(request)
    of_all = "all" in request.GET and not person.is_installer
    found = days_of_person(person, all_cases=of_all)
    context = {
        "parts": [(name, list(rows)) for name, rows in groupby(found, key=_part)],
        "of_all": of_all,
        "new": new,
        "address": CalendarAddress.objects.filter(person=person).first(),
    }
    return render(request, "days/days.html", context)


def _part(each: CaseDay) -> str:
    ahead = (each.day.on - today()).days
    if ahead < 0:
        return "Overdue"
    if ahead == 0:
        return "Today"
    return "In the next seven days" if ahead <= 7 else "Later"
