"""Page of the letters and calls about a case."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.sending.forms import ConversationForm
from sites.sending.models import Conversation
from sites.sending.reading.calls import conversations_of
from sites.sending.writing.calls import end_chase, enter_conversation


@require_http_methods(["GET", "HEAD", "POST"])
def case_calls(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show letters and calls about a case, and enter one."""
    person = person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises"), key)
    form = ConversationForm(request.POST if request.method == "POST" else None, auto_id="call-%s")
    if form.is_valid():
        data = form.cleaned_data
        try:
            enter_conversation(
                case=case,
                kind=data["kind"],
                on=data["on"],
                with_whom=data["with_whom"],
                said=data["said"],
                chase_on=data["chase_on"],
                by=person,
            )
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "It is entered.")
            return redirect("case-calls", key)
    faults = form.faults() if form.is_bound else []
    context = {
        "case": case,
        "form": form,
        "faults": faults,
        "found": conversations_of(case),
        "today": timezone.localdate(),
    }
    return render(request, "sending/calls.html", context, status=422 if faults else 200)


@require_POST
def chased(request: HttpRequest, key: UUID) -> HttpResponse:
    """End the chasing of a letter or a call."""
    person = person_of(request)
    row = row_or_404(Conversation.objects.select_related("case__application"), key)
    try:
        end_chase(conversation=row, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)
    return redirect("case-calls", row.case.key)
