"""Every service that somebody acts by leaves an event of that person, in the same transaction; a
new service without a row here fails."""

import datetime as dt
import inspect
import uuid

import pytest
from django.db import transaction
from django.utils import timezone

from sites.days import writing as days
from sites.deciding.reading.deciding import decide_case
from sites.deciding.reading.remedies import remedy_mark
from sites.designs.writing import from_remedy as designs
from sites.designs.writing import limited as limited_designs
from sites.energy.reading.files import HowRead
from sites.energy.reading.remedy_years import wanted_of
from sites.energy.writing import (
    files as energy_files,
)
from sites.energy.writing import (
    limit_sweeps,
    remedy_years,
)
from sites.energy.writing import (
    years as energy_years,
)
from sites.house import storage, uploads
from sites.house.models import Event
from sites.looks.writing import looking as screening
from sites.packs.models import FrozenPack
from sites.packs.writing import asking_to_print, erasing, issuing, sending_without
from sites.people.models import OFFICE
from sites.people.writing import role
from sites.premises.models import Supply
from sites.prices import writing as pricing
from sites.review.writing import attachments, record_queries, replies, works
from sites.review.writing import verdicts as review
from sites.rulebook.reading.local_entries import file_of
from sites.rulebook.writing import local_entries, readings
from sites.sending.writing import calls, copying, sending
from tests.sites.making import (
    home,
    island,
    make_attachment,
    make_conversation,
    make_dispatch,
    make_energy_file,
    make_pack,
    make_premises,
    make_question,
    make_reading,
    make_record_query,
    make_reply,
    make_screening,
    make_touched,
    make_works,
    meter_csv,
    short_limit,
)
from tests.sites.prices.making import price, rate
from tests.sites.review.making import capped, make_pdf, preview_of, seen_of
from tests.sites.rulebook.making import balance

MODULES = (review, attachments, issuing, asking_to_print, erasing, designs, replies, local_entries,
           sending_without, screening, energy_years, remedy_years, energy_files, limit_sweeps,
           limited_designs, readings, works, days, pricing, sending, calls, copying,
           record_queries)  # fmt: skip


@pytest.fixture(autouse=True)
def mail_is_set_up(settings):
    settings.MAIL_IS_SET_UP, settings.DEFAULT_FROM_EMAIL = True, "office@firm.example"


def ready(by):
    case = make_premises(by=by)
    pack = make_pack(case, by=by)
    printed = storage.store(b"%PDF-1.7 invented")
    FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256=printed)
    case.refresh_from_db()
    pack.refresh_from_db()
    return {"case": case, "pack": pack, "key": uuid.uuid4(), "by": by}


def upload(by):
    more = {"way": "portal", "sent_on": timezone.localdate(), "sent_by": by}
    return sending.note_by_hand, {**ready(by), **more}


def mail(by):
    more = {"operator": "gb-12", "recipient": "a@b.example", "subject": "S", "words": "W"}
    return sending.queue_mail, {**ready(by), **more}


def dispatched(by, **more):
    return {"dispatch": make_dispatch(ready(by)["pack"], by=by, way="mail", **more), "by": by}


def mail_again(by):
    asked = dispatched(by, state="failed", sent_on=None, content_sha256="a" * 64)
    return sending.send_again, asked


def mail_settled(by):
    asked = dispatched(by, state="unknown", sent_on=None)
    return sending.settle, {**asked, "arrived": True, "says": "Asked."}


def mail_back(by):
    return sending.came_back, {**dispatched(by), "says": "It came back."}


def call(by):
    today = timezone.localdate()
    facts = {"kind": "call", "on": today, "with_whom": "A", "said": "B", "chase_on": None}
    return calls.enter_conversation, {"case": make_premises(), **facts, "by": by}


def call_chased(by):
    return calls.end_chase, {"conversation": make_conversation(make_premises(), by=by), "by": by}


def form_order(by):
    numbers = {"premises.postcode": "3"}
    return copying.enter_form, {"operator": "gb-10", "numbers": numbers, "by": by}


def decide(by):
    case = make_premises(**island())
    seen = seen_of(case, "can-island")
    return review.decide_finding, {"case": case, "seen": seen, "reason": "Fitted.", "by": by}


def decide_two(by):
    units = home()["units"]
    units[1]["can_island"] = True
    case = make_premises(units=units, supply={**home()["supply"], "looped": True})
    seen = [seen_of(case, name) for name in ("can-island", "looped-service")]
    return review.decide_findings, {"case": case, "seen": seen, "reason": "Seen.", "by": by}


def agree(by):
    case = capped()
    return review.enter_agreement, {
        "case": case,
        "seen": seen_of(case, "export-above-cap"),
        "reference": "OP-1",
        "date": dt.date(2026, 11, 1),
        "file": make_attachment(case, by=by),
        "reason": "Agreed.",
        "by": by,
    }


def ask(by):
    case = make_premises(**island())
    seen = seen_of(case, "can-island")
    return review.ask_office, {"case": case, "seen": seen, "text": "Is it?", "by": by}


def answer(by):
    question = make_question(make_premises(**island()), by=by)
    return review.answer_question, {"question": question, "answer": "It is.", "by": by}


def attach(by):
    upload = uploads.examine(name="a.pdf", content=make_pdf())
    return attachments.add_attachment, {"case": make_premises(), "upload": upload, "by": by}


def take_out(by):
    attachment = make_attachment(make_premises(), by=by)
    return attachments.take_out_attachment, {"attachment": attachment, "by": by}


def issue(by):
    case = make_premises()
    return issuing.issue_pack, {
        "application": case.application,
        "seen": preview_of(case),
        "declaration": None,
        "by": by,
    }


def send_without(by):
    case = make_premises()
    Supply.objects.filter(premises=case.premises).update(cutout_a=None)
    return sending_without.send_without, {
        "case": case, "facts": [("supply.cutout_a", "")], "reason": "Sealed.", "by": by,
    }  # fmt: skip


def print_again(by):
    return asking_to_print.ask_to_print_again, {"pack": make_pack(make_premises(), by=by), "by": by}


def erase(by):
    pack = make_pack(make_premises(), by=by)
    return erasing.erase_personal_parts, {"application": pack.application, "by": by}


def from_remedy(by):
    case = make_premises()
    decision = decide_case(case, remedies=True).decision
    assert decision is not None
    mark = remedy_mark(next(r for r in decision.remedies if r.change))
    return designs.design_from_remedy, {
        "design": case.design, "mark": mark, "name": "Advised", "by": by,
    }  # fmt: skip


def enter(by):
    answered = replies.Answered(
        kind="cap-export", received_on=dt.date(2026, 11, 2), written="5 kW", value=5000,
        basis="w_total",
    )  # fmt: skip
    return replies.enter_reply, {"case": make_premises(), "answered": answered, "by": by}


def take_back(by):
    reply = make_reply(make_premises(), by=by)
    return replies.take_back_reply, {"reply": reply, "by": by}


def offered(by):
    case = make_premises()
    type(case).objects.filter(pk=case.pk).update(state="clock-running", way="application")
    offer = make_reply(case, by=by, kind="offer", charge_pence=1, conditions=())
    case.refresh_from_db()
    return offer


def accept(by):
    return replies.accept_offer, {
        "reply": offered(by), "on": timezone.localdate(), "how": "By post", "agreed_until": None,
        "by": by,
    }  # fmt: skip


def pay(by):
    return replies.pay_charge, {"reply": offered(by), "on": timezone.localdate(), "by": by}


def meet(by):
    condition = make_reply(make_premises(), by=by).conditions.get()
    return replies.meet_condition, {
        "condition": condition, "on": timezone.localdate(), "note": "", "by": by,
    }  # fmt: skip


def ask_works(by):
    asked = works.Asked("fuse", timezone.localdate())
    return works.ask_for_works, {"case": make_premises(), "asked": asked, "by": by}


def change_works(by):
    job = make_works(make_premises(), by=by)
    return works.change_works, {
        "works": job, "planned_on": timezone.localdate(), "done_on": None, "by": by,
    }  # fmt: skip


def drop_works(by):
    return works.drop_works, {"works": make_works(make_premises(), by=by), "by": by}


def ask_record(by):
    return record_queries.ask_record, {
        "case": make_premises(), "recorded": "", "asked_on": timezone.localdate(), "by": by,
    }  # fmt: skip


def answer_record(by):
    return record_queries.answer_record, {
        "query": make_record_query(make_premises(), by=by), "outcome": "never",
        "answered_on": timezone.localdate(), "answer": "", "by": by,
    }  # fmt: skip


def end_address(by):
    days.make_address(by=by)
    return days.end_address, {"by": by}


def enter_local(by):
    return local_entries.add_entry, {
        "area": "gb-12", "entry": balance(), "reason": "A letter.", "by": by,
    }  # fmt: skip


def load_local(by):
    content = file_of("gb-12", [balance()]).encode()
    return local_entries.load_entries, {"content": content, "name": "a.toml", "by": by}


def end_local(by):
    act, arguments = enter_local(by)
    return local_entries.end_entry, {
        "row": act(**arguments), "last_day": dt.date(2026, 12, 1), "reason": "Over.", "by": by,
    }  # fmt: skip


def look_again(by):
    make_premises()
    return screening.start_screening, {"on": dt.date(2027, 3, 1), "by": by}


def look_for_changes(by):
    make_premises()
    return screening.look_for_changes, {"by": by}


def look_at_rest(by):
    make_premises()
    return screening.ask_for_rest, {"run": make_screening(by=by), "by": by}


def looked(by):
    return screening.mark_looked, {"row": make_touched(make_premises()), "by": by}


def all_looked(by):
    return screening.mark_all_looked, {"run": make_touched(make_premises()).run, "by": by}


def enter_energy(by):
    given = energy_years.Given(region=3, yearly_use_kwh=3500)
    return energy_years.enter_inputs, {
        "premises": make_premises().premises, "given": given, "seen": "", "by": by,
    }  # fmt: skip


def work_out(by):
    act, arguments = enter_energy(by)
    act(**arguments)
    return energy_years.ask_for_years, {"premises": arguments["premises"], "by": by}


def ask_for_remedies(by):
    case = make_premises()
    given = energy_years.Given(region=3, yearly_use_kwh=3500)
    inputs = energy_years.enter_inputs(premises=case.premises, given=given, seen="", by=by)
    wanted = wanted_of(decide_case(case, remedies=True), inputs)
    return remedy_years.ask_for_remedy_years, {
        "design": case.design, "seen": wanted.digest, "by": by,
    }  # fmt: skip


def keep_energy_file(by):
    return energy_files.keep_file, {
        "premises": make_premises().premises, "kind": "meter", "name": "a.csv",
        "content": meter_csv(), "how": HowRead("utc"), "region": 3, "by": by,
    }  # fmt: skip


def read_energy_file_again(by):
    """Its times as ends of steps in place of beginnings: a new row of the same bytes."""
    file = make_energy_file(make_premises(), by=by)
    how = HowRead("utc", "end")
    return energy_files.read_again, {"file": file, "how": how, "region": 3, "by": by}


def try_limits(by):
    case = make_premises()
    given = energy_years.Given(region=3, yearly_use_kwh=3500)
    energy_years.enter_inputs(premises=case.premises, given=given, seen="", by=by)
    return limit_sweeps.ask_for_limits, {"design": case.design, "limits_w": (0, 3600), "by": by}


def asked_limits(by):
    act, arguments = try_limits(by)
    act(**arguments)
    return {"design": arguments["design"], "by": by}


def try_limits_again(by):
    return limit_sweeps.ask_for_limits_again, asked_limits(by)


def stop_limits(by):
    return limit_sweeps.stop_limits, asked_limits(by)


def with_limit(by):
    return limited_designs.design_with_limit, {
        "design": make_premises().design, "limit_w": 2000, "name": "Limited", "by": by,
    }  # fmt: skip


def read_value(by):
    return readings.read_values, {"values": [short_limit()], "by": by}


def unread_value(by):
    return readings.take_back_reading, {"row": make_reading(by=by), "by": by}


def in_the_office(by):
    """The same person, who may change prices too."""
    by.roles.add(role(OFFICE))
    by.__dict__.pop("_role_keys", None)
    return by


def enter_price(by):
    return pricing.enter_price, {"wanted": price(), "by": in_the_office(by)}


def enter_vat(by):
    return pricing.enter_vat, {"wanted": rate(), "by": in_the_office(by)}


def end_price(by):
    row = pricing.enter_price(wanted=price(), by=None)
    return pricing.end_row, {"row": row, "last_day": row.starts, "by": in_the_office(by)}


def say_cost(by):
    return pricing.enter_basis, {"design": make_premises().design, "amounts": {}, "by": by}


def choose(by):
    case = make_premises()
    return pricing.record_choice, {
        "case": case, "design": case.design, "by_whom": "customer", "on": dt.date(2026, 11, 24),
        "why": "", "cost": None, "by": by,
    }  # fmt: skip


ACTS = {
    "enter_price": enter_price,
    "enter_vat": enter_vat,
    "end_row": end_price,
    "enter_basis": say_cost,
    "record_choice": choose,
    "read_values": read_value,
    "take_back_reading": unread_value,
    "keep_file": keep_energy_file,
    "read_again": read_energy_file_again,
    "design_with_limit": with_limit,
    "ask_for_limits": try_limits,
    "ask_for_limits_again": try_limits_again,
    "stop_limits": stop_limits,
    "enter_inputs": enter_energy,
    "ask_for_years": work_out,
    "ask_for_remedy_years": ask_for_remedies,
    "mark_all_looked": all_looked,
    "start_screening": look_again,
    "look_for_changes": look_for_changes,
    "ask_for_rest": look_at_rest,
    "mark_looked": looked,
    "add_entry": enter_local,
    "load_entries": load_local,
    "end_entry": end_local,
    "enter_reply": enter,
    "take_back_reply": take_back,
    "accept_offer": accept,
    "pay_charge": pay,
    "meet_condition": meet,
    "ask_for_works": ask_works,
    "change_works": change_works,
    "drop_works": drop_works,
    "ask_record": ask_record,
    "answer_record": answer_record,
    "make_address": lambda by: (days.make_address, {"by": by}),
    "end_address": end_address,
    "design_from_remedy": from_remedy,
    "decide_finding": decide,
    "decide_findings": decide_two,
    "enter_agreement": agree,
    "ask_office": ask,
    "answer_question": answer,
    "add_attachment": attach,
    "take_out_attachment": take_out,
    "issue_pack": issue,
    "send_without": send_without,
    "ask_to_print_again": print_again,
    "erase_personal_parts": erase,
    "note_by_hand": upload,
    "queue_mail": mail,
    "send_again": mail_again,
    "settle": mail_settled,
    "came_back": mail_back,
    "enter_conversation": call,
    "end_chase": call_chased,
    "enter_form": form_order,
}


def test_every_service_has_a_row():
    found = {
        name
        for module in MODULES
        for name, act in vars(module).items()
        if inspect.isfunction(inspect.unwrap(act))
        and inspect.unwrap(act).__module__ == module.__name__
        and not name.startswith("_")
        and "by" in inspect.signature(act).parameters
    }
    assert found == set(ACTS)


@pytest.mark.parametrize("name", ACTS)
def test_it_leaves_an_event_of_the_person(engineer, name):
    act, arguments = ACTS[name](engineer)
    before = Event.objects.count()
    act(**arguments)
    new = Event.objects.order_by("pk")[before:]
    assert new
    assert all(event.actor_key == engineer.key for event in new)


@pytest.mark.parametrize("name", ACTS)
def test_the_act_is_not_done_where_its_event_fails(engineer, name, monkeypatch):
    act, arguments = ACTS[name](engineer)
    module = inspect.getmodule(inspect.unwrap(act))
    before = everything()

    def fails(*_args, **_more):
        raise RuntimeError("the log is full")

    monkeypatch.setattr(module, "record", fails)
    with pytest.raises(RuntimeError, match="the log is full"), transaction.atomic():
        act(**arguments)
    assert everything() == before


def everything():
    """All rows that these services write."""
    from django.apps import apps

    return {
        model.__name__: sorted(map(str, model._default_manager.order_by("pk").values()))
        for model in apps.get_app_config("sites").get_models()
    } | {"packs": FrozenPack.objects.count()}
