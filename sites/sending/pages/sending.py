"""Page of sending a pack, and the acts on what was sent."""

from collections.abc import Callable
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from connections.facts.canonical import digest
from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.house.pages.file_names import file_name
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.storage import FileGoneError
from sites.packs.models import FrozenPack
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.sending.forms import ByHandForm, FoundOutForm, MailForm
from sites.sending.models import MAIL, PORTAL, ZIP, Dispatch
from sites.sending.reading.covering import subject_of, words_of
from sites.sending.reading.outbox import ToSend, shown, to_send
from sites.sending.writing.contents import carried, checked_mail, zip_bytes
from sites.sending.writing.sending import (
    came_back,
    note_by_hand,
    queue_mail,
    send_again,
    settle,
)


class _Forms:
    """The three forms of the page; the one that was sent holds what was typed."""

    def __init__(
        self, page: ToSend, person: Person, sent: str = "", typed: QueryDict | None = None
    ):
        assert page.pack is not None
        said = {
            "subject": subject_of(page.pack, page.kind),
            "words": words_of(page.case, page.pack, page.kind),
            "recipient": page.address,
        }
        of = {sent: typed}
        self.portal = ByHandForm(
            of.get(PORTAL), page=page, said=said, auto_id="portal-%s", zipped=False, by=person
        )
        self.zip = ByHandForm(
            of.get(ZIP), page=page, said=said, auto_id="zip-%s", zipped=True, by=person
        )
        self.mail = MailForm(of.get(MAIL), page=page, said=said, auto_id="mail-%s")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def case_send(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show how a case's pack can be sent; enter that it was uploaded, or sent as a zip."""
    person, page = person_of(request), to_send(_case(key))
    if request.method != "POST" or page.pack is None:
        return _show(request, page, None if page.pack is None else _Forms(page, person))
    way = ZIP if request.POST.get("way") == ZIP else PORTAL
    forms = _Forms(page, person, way, request.POST)
    form = forms.zip if way == ZIP else forms.portal
    if form.is_valid():
        data = form.cleaned_data
        try:
            note_by_hand(
                case=page.case,
                pack=_pack(page, data["pack"]),
                key=data["key"],
                way=way,
                sent_on=data["sent_on"],
                sent_by=data["sent_by"],
                reference=data.get("reference", ""),
                words=data.get("words", ""),
                files=form.chosen,
                again=data.get("again", False),
                by=person,
            )
        except RefusedError as refused:
            form.add_error(refused.field if refused.field in form.fields else None, refused.message)
        else:
            messages.success(request, "It is entered as sent.")
            return redirect("premises", page.case.premises.key)
    return _show(request, to_send(page.case), forms)


@require_POST
def case_send_zip(request: HttpRequest, key: UUID) -> HttpResponse:
    """Download the pack, the chosen files and the covering words as one zip; changes nothing."""
    person, page = person_of(request), to_send(_case(key))
    if page.pack is None or page.refusal:
        return _show(request, page, None, status=422)
    forms = _Forms(page, person, ZIP, request.POST)
    chosen = [
        forms.zip.carries[k] for k in request.POST.getlist("beside") if k in forms.zip.carries
    ]
    try:
        files = carried(page.pack, chosen)
        content = zip_bytes(page.pack, files, request.POST.get("words", ""))
    except FileGoneError as fault:
        forms.zip.add_error(None, str(fault))
        return _show(request, page, forms)
    answer = HttpResponse(content, content_type="application/zip")
    name = file_name(page.pack.reference, f"revision {page.pack.revision}", "zip")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer


@never_cache
@require_POST
def case_send_mail(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show a mail as it would go out; send the one that was shown."""
    person, page = person_of(request), to_send(_case(key))
    if page.pack is None:
        return _show(request, page, None)
    forms = _Forms(page, person, MAIL, request.POST)
    form, step = forms.mail, request.POST.get("step", "show")
    if step == "change" or not form.is_valid():
        return _show(request, page, forms, changing=step == "change")
    data = form.cleaned_data
    mark = digest([data[name] for name in ("recipient", "subject", "words")])
    try:
        if step == "send" and request.POST.get("seen") == mark:
            queue_mail(
                case=page.case,
                pack=_pack(page, data["pack"]),
                key=data["key"],
                operator=page.operator,
                recipient=data["recipient"],
                subject=data["subject"],
                words=data["words"],
                files=form.chosen,
                again=data.get("again", False),
                by=person,
            )
            messages.success(request, "The mail waits to be sent; below stands how it ends.")
            return redirect("case-send", key)
        files = carried(page.pack, form.chosen)
        checked_mail(recipient=data["recipient"], subject=data["subject"], files=files)
    except RefusedError as refused:
        form.add_error(refused.field if refused.field in form.fields else None, refused.message)
        return _show(request, to_send(page.case), forms)
    context = {"page": page, "case": page.case, "form": form, "files": files, "seen": mark}
    return render(request, "sending/mail.html", {**context, "sender": settings.DEFAULT_FROM_EMAIL})


@require_POST
def dispatch_again(request: HttpRequest, key: UUID) -> HttpResponse:
    """Let the worker try a refused mail once more."""
    person, row = person_of(request), _dispatch(key)
    return _acted(request, row, lambda: send_again(dispatch=row, by=person), "It waits again.")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def dispatch_found_out(request: HttpRequest, key: UUID) -> HttpResponse:
    """Say how a dispatch ended: that it arrived or did not, or that it came back."""
    person, row = person_of(request), _dispatch(key)
    form = FoundOutForm(request.POST if request.method == "POST" else None, auto_id="found-%s")
    dispatch = shown(row)
    if form.is_valid():
        says = form.cleaned_data["says"]
        try:
            if dispatch.open:
                settle(
                    dispatch=row, arrived=request.POST.get("arrived") == "yes", says=says, by=person
                )
            else:
                came_back(dispatch=row, says=says, by=person)
        except NotAllowedError:
            raise
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "It is entered.")
            return redirect("case-send", _of(row).key)
    faults = form.faults() if form.is_bound else []
    context = {"case": _of(row), "dispatch": dispatch, "form": form, "faults": faults}
    return render(request, "sending/found_out.html", context, status=422 if faults else 200)


def _acted(
    request: HttpRequest, row: Dispatch, act: Callable[[], object], says: str
) -> HttpResponse:
    try:
        act()
    except RefusedError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, says)
    return redirect("case-send", _of(row).key)


def _show(
    request: HttpRequest,
    page: ToSend,
    forms: _Forms | None,
    *,
    changing: bool = False,
    status: int = 200,
) -> HttpResponse:
    shown_forms = () if forms is None else (forms.portal, forms.mail, forms.zip)
    faults = [fault for form in shown_forms if form.is_bound for fault in form.faults()]
    context = {
        "page": page,
        "case": page.case,
        "forms": forms,
        "faults": faults,
        "changing": changing,
        "mail_is_set_up": settings.MAIL_IS_SET_UP,
        "sender": settings.DEFAULT_FROM_EMAIL,
    }
    return render(request, "sending/send.html", context, status=422 if faults else status)


def _pack(page: ToSend, key: UUID) -> FrozenPack:
    """The pack that the form saw; the act refuses it where it is the newest no more."""
    found = FrozenPack.objects.filter(application=page.case.application_id, key=key).first()
    if found is None:
        raise RefusedError("This pack is not of this case. Open the page again.")
    return found


def _case(key: UUID) -> Case:
    return row_or_404(Case.objects.select_related("application", "premises", "design"), key)


def _dispatch(key: UUID) -> Dispatch:
    return row_or_404(Dispatch.objects.select_related("application", "pack", "sent_by"), key)


def _of(row: Dispatch) -> Case:
    return row.application.cases.select_related("premises").order_by("pk")[0]
