"""A week of the invented office: a case in every state, each a copy of a demonstration site."""

import datetime as dt
from collections.abc import Mapping

from django.utils import timezone
from msgspec import structs

from connections.facts.reading import read_site
from connections.facts.site import Premises, Site, SupplyNumber
from connections.facts.supply_number import check_digit
from sites.cases.models import Case
from sites.cases.moves import ACTS
from sites.cases.writing import move
from sites.desk.demonstration import SITES
from sites.desk.writing.demonstration import PEOPLE
from sites.packs.reading.packs import draft_of
from sites.packs.writing.issuing import PreviewSeen, issue_pack
from sites.people.models import Person
from sites.premises.models import Limit, Unit
from sites.premises.writing.commissioning import Declared, Installed, commission
from sites.premises.writing.importing import import_premises
from sites.review.models import Reply
from sites.review.writing.replies import Answered, accept_offer, enter_reply
from sites.review.writing.works import Asked, ask_for_works

_APPLIED, _NOTIFIED = "03-string-inverter-and-ac-storage.json", "05-pv-only.json"
_SENT = ("to-engineer", "issue", "send")
_WITH_OPERATOR = (*_SENT, "start-clock")
_INSTALLED = (*_WITH_OPERATOR, "agreed", "book", "commission")
WEEK: Mapping[str, tuple[str, ...]] = {
    "engineer-review": ("to-engineer",),
    "ready-to-send": ("to-engineer", "issue"),
    "sent": _SENT,
    "clock-running": _WITH_OPERATOR,
    "information-wanted": (*_WITH_OPERATOR, "wanted"),
    "offer-received": (*_WITH_OPERATOR, "offer"),
    "accepted": (*_WITH_OPERATOR, "offer", "accept"),
    "waiting-for-works": (*_WITH_OPERATOR, "agreed", "works"),
    "ready-to-install": ("clear",),
    "booked": (*_WITH_OPERATOR, "condition", "book"),
    "commissioned": _INSTALLED,
    "confirmation-sent": (*_INSTALLED, "issue", "confirm"),
    "notified": ("clear", "book", "commission", "issue", "notify"),
    "completed": ("clear", "book", "commission", "issue", "notify", "complete"),
    "withdrawn": ("withdraw",),
    "refused": (*_WITH_OPERATOR, "refused"),
    "lapsed": (*_WITH_OPERATOR, "offer", "lapse"),
}
"""How a case comes to each state that the other demonstration sites do not have."""

_REASONS = {
    "book": "Thursday, two people (invented)",
    "complete": "The operator thanked for it (invented)",
    "withdraw": "The customer moves house (invented)",
    "lapse": "The customer let the offer end (invented)",
}


def load_week() -> int:
    """Bring a case into every state by the acts of the pages; return how many were made.

    Days count from today, so that the list has some overdue, some due now and some later.
    """
    office = Person.objects.get(email=PEOPLE[0][0])
    engineer = Person.objects.get(email=PEOPLE[1][0])
    for number, (state, acts) in enumerate(WEEK.items(), start=201):
        base = _NOTIFIED if acts[0] == "clear" else _APPLIED
        site = _copy(read_site((SITES / base).read_bytes()), number, state)
        case = import_premises(site, by=office)
        for act in acts:
            _do(Case.objects.get(pk=case.pk), act, office, engineer)
    return len(WEEK)


def _copy(site: Site, number: int, state: str) -> Site:
    """A site at an address and supply of its own, planned around today."""
    today = timezone.localdate()
    assert isinstance(site.premises, Premises)
    first = f"990000002{number:03d}"
    return structs.replace(
        site,
        reference=f"FH-{number} {state.replace('-', ' ')}",
        on_date=today,
        planned_on=today + dt.timedelta(days=7 * (number % 9) + 14),
        premises=structs.replace(
            site.premises,
            name=f"{number} Lockside Row",
            address_lines=(f"{number} Lockside Row", "Fennhaven"),
            supply_numbers=(SupplyNumber("import", "gb13", f"{first}{check_digit(first)}"),),
        ),
    )


def _do(case: Case, act: str, office: Person, engineer: Person) -> None:
    """One act of somebody of the invented firm."""
    today = timezone.localdate()
    if act == "issue":
        draft = draft_of(case.application)
        seen = PreviewSeen(case.application.version, draft.revision, draft.content)
        issue_pack(application=case.application, seen=seen, declaration=None, by=engineer)
    elif act == "commission":
        units = Unit.objects.filter(design=case.design_id)
        Limit.objects.filter(design=case.design_id).update(commissioned_on=today)
        commission(
            case=case,
            installed={each.key: Installed(today, f"INV-{each.label}") for each in units},
            declared=Declared("Ivor Alder (invented)", today),
            seen=case.move_number,
            by=engineer,
        )
    elif act == "works":
        asked = Asked("unlooping", today, planned_on=today + dt.timedelta(days=12))
        ask_for_works(case=case, asked=asked, by=office)
    elif act == "accept":
        offer = Reply.objects.filter(case=case).get()
        accept_offer(
            reply=offer, on=today, how="The customer (invented)", agreed_until=None, by=office
        )
    elif act in _ANSWERS:
        enter_reply(case=case, answered=_answered(act, today), by=office)
    else:
        by = engineer if act == "clear" else office
        on = today if ACTS[act].day else None
        move(case=case, act=act, by=by, reason=_REASONS.get(act, "Invented."), on=on)


_ANSWERS = frozenset({"agreed", "condition", "offer", "wanted", "refused"})


def _answered(kind: str, today: dt.date) -> Answered:
    answer = Answered(kind, today, reference="INVENTED/417")
    if kind == "condition":
        told = ("before-energising", "Tell us two working days before (invented).")
        return structs.replace(answer, conditions=(told,))
    if kind == "offer":
        last = today + dt.timedelta(days=5)
        return structs.replace(answer, charge_pence=124_050, valid_until=last)
    if kind == "wanted":
        words, last = "Which type test has the storage (invented)?", today + dt.timedelta(days=3)
        return structs.replace(answer, words=words, valid_until=last)
    if kind == "refused":
        return structs.replace(answer, words="The transformer is full (invented).")
    return answer
