"""People, premises and what hangs on them, for tests of the pages. All invented."""

import datetime as dt
import hashlib
import io
import itertools
from typing import Any

import msgspec
from django.utils import timezone
from PIL import Image

from connections.facts.reading import read_site
from connections.facts.supply_number import check_digit
from connections.rulebook.load import load_books, resolve
from connections.rulebook.verifying import name_of
from sites.cases.models import Case
from sites.catalogue.models import Equipment
from sites.deciding.reading.deciding import decide_case
from sites.energy.models import EnergyFile
from sites.looks.models import ScreeningRow, ScreeningRun
from sites.looks.writing.local_entries import add_entry
from sites.packs.models import FrozenPack, PersonalPart
from sites.people.models import Person
from sites.people.writing import create_person, role
from sites.premises.writing.importing import import_premises
from sites.review.models import Attachment, Question, RecordQuery, Reply, Verdict, Works
from sites.rulebook.models import KeptRulebook, LocalEntry, ValueReading
from sites.rulebook.writing.readings import ReadInDocument, read_values
from sites.sending.models import Conversation, Dispatch
from tests.sites.rulebook.making import reading

PASSWORD = "eleven herons at dusk"

_numbers = itertools.count(1)


def make_person(key: str = "office", *, name: str = "", password: str = "") -> Person:
    """Somebody with one role. Without a password nobody can sign in by one (and none is hashed,
    which takes a quarter of a second); use `client.force_login`."""
    number = next(_numbers)
    email = f"{key}{number}@fennhaven.example"
    name = name or f"Invented {key.title()} {number}"
    if password:
        return create_person(email=email, name=name, password=password, roles=[key], by=None)
    person = Person(email=email, name=name)
    person.set_unusable_password()
    person.save()
    person.roles.add(role(key))
    return person


def home(**changes: Any) -> dict[str, Any]:
    """The site file of a plain home: PV and AC-coupled storage, 3.6 kW each, nothing flagged.

    2 x 3600 W / 230 V = 31.3 A, each at most 16 A: a small generation installation below 60 A.
    `changes` replace whole parts.
    """
    number = next(_numbers)
    installer = {
        "name": "Invented Solar",
        "role": "installer",
        "address_lines": ["Unit 2, Old Creamery Yard", "Fennhaven"],
        "phone": "01632 960 150",
        "email": "office@firm.example",
    }
    customer = {
        "name": f"Invented Customer {number}",
        "phone": "01632 960 151",
        "email": "c@home.example",
    }
    unit = {
        "maker": "Invented Works",
        "model": "I3.6",
        "phases": ["L1"],
        "type_tested": "full",
        "standard": "G98",
        "can_island": False,
    }
    cells = {"usable_wh": 9500, "charge_w": 3600, "discharge_w": 3600, "charges_from_grid": True}
    return {
        "format": "site/1",
        "reference": f"INV-{number:04d}",
        "on_date": "2026-11-24",
        "planned_on": "2027-01-18",
        "parties": {
            "customer": customer,
            "applicant": installer,
            "installer": installer,
            "owner_consent": True,
        },
        "premises": {
            "name": f"{number} Reedcutter Row",
            "address_lines": [f"{number} Reedcutter Row", "Fennhaven"],
            "postcode": "ZZ1 1AA",
            "nation": "england",
            "supply_numbers": [
                {"use": "import", "scheme": "gb13", "value": invented_supply_number(number)}
            ],
            "licence_area": "gb-12",
        },
        "supply": {"phases": 1, "cutout_a": 80, "earthing": "TN-C-S", "looped": False},
        "units": [
            {"id": "pv-1", "source": "pv", "rated_w": 3600, "type_test_reference": "INV/1", **unit},
            {
                "id": "bat-1",
                "source": "storage",
                "rated_w": 3600,
                "type_test_reference": "INV/2",
                **unit,
            },
        ],
        "arrays": [{"unit_id": "pv-1", "peak_w": 4400, "panels": 11, "azimuth_deg": 180}],
        "storage": [{"unit_id": "bat-1", **cells}],
        **changes,
    }


def invented_supply_number(number: int) -> str:
    """A supply number with a right check digit; no operator has 99."""
    first = f"99{number:010d}"
    return f"{first}{check_digit(first)}"


def make_premises(*, by: Person | None = None, **changes: Any) -> Case:
    """A premises with its design and application, by the same service as the pages use; the case
    gives all of them. `changes` as for `home`."""
    return import_premises(read_site(msgspec.json.encode(home(**changes))), by=by)


def island(**changes: Any) -> dict[str, Any]:
    """Changes for `make_premises`: the battery can run as an island, which an engineer decides."""
    units = home()["units"]
    units[1]["can_island"] = True
    return {"units": units, **changes}


def make_verdict(case: Case, finding_id: str, *, by: Person) -> Verdict:
    """An engineer's decision on a finding that the case has now."""
    decision = decide_case(case).decision
    assert decision is not None
    (finding,) = (each for each in decision.findings if each.id == finding_id)
    return Verdict.objects.create(
        case=case,
        finding=finding.id,
        subject=finding.subject,
        basis=finding.basis,
        kind="decided",
        reason="Looked at on site.",
        by=by,
        at=timezone.now(),
    )


def make_question(case: Case, *, by: Person, finding: str = "can-island") -> Question:
    """An open question to the office."""
    return Question.objects.create(
        case=case,
        finding=finding,
        subject="bat-1",
        text="Is the change-over switch fitted?",
        asked_by=by,
        asked_at=timezone.now(),
    )


def make_reply(case: Case, *, by: Person, **answered: Any) -> Reply:
    """An answer of the network operator, by the same service as the page uses."""
    from sites.review.writing.replies import Answered, enter_reply

    facts = {
        "kind": "condition",
        "received_on": timezone.localdate(),
        "conditions": [("before-energising", "Invented condition: tell us a week before.")],
        **answered,
    }
    return enter_reply(case=case, answered=Answered(**facts), by=by)


def make_record_query(case: Case, *, by: Person, **asked: Any) -> RecordQuery:
    """A query on the operator's record of what is there, by the same service as the page uses."""
    from sites.review.writing.record_queries import ask_record

    return ask_record(
        case=case, by=by, **{"recorded": "", "asked_on": timezone.localdate(), **asked}
    )


def make_works(case: Case, *, by: Person, **asked: Any) -> Works:
    """Works on the network that the case waits for, by the same service as the page uses."""
    from sites.review.writing.works import Asked, ask_for_works

    facts = {"kind": "unlooping", "asked_on": timezone.localdate(), **asked}
    return ask_for_works(case=case, asked=Asked(**facts), by=by)


def make_screening(*, by: Person, on: dt.date | None = None) -> ScreeningRun:
    """A look at all cases under the rules of a day, by the same service as the page uses; its parts
    wait for a worker."""
    from sites.looks.writing.looking import start_screening

    return start_screening(on=on or timezone.localdate(), by=by)


def make_touched(case: Case, *, coming: dt.date | None = None) -> ScreeningRow:
    """A case that the latest look for changes of rules found something for; invented."""
    run = ScreeningRun.objects.create(
        kind="watch",
        on=timezone.localdate(),
        today=timezone.localdate(),
        asked=hashlib.sha256(str(case.key).encode()).hexdigest(),
        asked_at=timezone.now(),
        ended_at=timezone.now(),
        total=1,
        done=1,
    )
    return ScreeningRow.objects.create(
        run=run,
        case=case,
        coming=coming,
        was="Connect and notify",
        now="Short application",
        changes=[
            {
                "kind": "procedure",
                "about": "procedure",
                "before": "Connect and notify",
                "after": "Short application",
                "sentence": "Procedure: Short application instead of Connect and notify.",
            },
            {
                "kind": "export",
                "about": "export",
                "before": "3.6 kW",
                "after": "3 kW",
                "sentence": "Export figure: 3 kW instead of 3.6 kW.",
            },
        ],
    )


def make_attachment(case: Case, *, by: Person) -> Attachment:
    """A file of the case; set MEDIA_ROOT to a folder of the test's own first."""
    from sites.house.uploads import Upload
    from sites.review.writing.attachments import add_attachment

    upload = Upload(
        name="survey.pdf", title="Survey", media_type="application/pdf", content=b"%PDF-", pages=1
    )
    return add_attachment(case=case, upload=upload, by=by)


def make_pack(case: Case, *, by: Person, keeps_files: bool = False) -> FrozenPack:
    """An issued pack, by the same service as the pages use; its print waits for a worker."""
    from sites.packs.reading.packs import draft_of
    from sites.packs.writing.issuing import PreviewSeen, issue_pack

    case.application.refresh_from_db()
    draft = draft_of(case.application)
    assert draft.pack is not None
    seen = PreviewSeen(case.application.version, draft.revision, draft.pack.digests.technical)
    return issue_pack(
        application=case.application, seen=seen, declaration=None, keeps_files=keeps_files, by=by
    )


def make_pack_row(case: Case, *, by: Person, revision: int = 1, printed: bool = True) -> FrozenPack:
    """The row of an issued pack, for pages that list packs; what it holds can't be rendered."""
    rulebook, _new = KeptRulebook.objects.get_or_create(
        digest="0" * 64, defaults={"content": b"{}", "first_used_at": timezone.now()}
    )
    empty = hashlib.sha256(b"{}").hexdigest()
    return FrozenPack.objects.create(
        application=case.application,
        reference=case.application.reference,
        revision=revision,
        procedure="g99-short",
        technical=b"{}",
        personal=PersonalPart.objects.create(content=b"{}", salt="invented"),
        technical_digest=empty,
        personal_digest=empty,
        digest=hashlib.sha256(f"{case.application.key} {revision}".encode()).hexdigest(),
        rulebook=rulebook,
        issued_by=by,
        issued_at=timezone.now(),
        pdf_sha256=empty if printed else "",
    )


def make_dispatch(pack: FrozenPack, *, by: Person, **more: Any) -> Dispatch:
    """A dispatch of a pack as it was entered by hand, on the operator's portal."""
    fields: dict[str, Any] = {
        "way": "portal",
        "state": "accepted",
        "reference": "OP-INVENTED-1",
        "sent_on": timezone.localdate(),
        "sent_by": by,
        **more,
    }
    return Dispatch.objects.create(
        application=pack.application, pack=pack, entered_by=by, entered_at=timezone.now(), **fields
    )


def make_conversation(case: Case, *, by: Person, **more: Any) -> Conversation:
    """A call about a case, by the same service as the page uses; it is to be chased today."""
    from sites.sending.writing.calls import enter_conversation

    today = timezone.localdate()
    facts: dict[str, Any] = {
        "kind": "call",
        "on": today,
        "with_whom": "Invented clerk",
        "said": "They look for it.",
        "chase_on": today,
        **more,
    }
    return enter_conversation(case=case, by=by, **facts)


def make_energy_years(case: Case, *, by: Person) -> None:
    """Region and use of the premises, and the years of its designs, worked out as by a worker."""
    from sites.energy.writing.years import Given, ask_for_years, enter_inputs
    from sites.house.models import Work
    from sites.house.models.work import YEAR
    from sites.house.writing.working_out import work_out

    given = Given(region=3, yearly_use_kwh=3500)
    enter_inputs(premises=case.premises, given=given, seen="", by=by)
    ask_for_years(premises=case.premises, by=by)
    for row in Work.objects.filter(kind=YEAR, design__premises=case.premises):
        work_out(str(row.key), row.digest)


def make_remedy_years(case: Case, *, by: Person, done: bool = True) -> None:
    """Region and use of the premises where there are none, and what the remedies of the case's
    design cost in energy: asked for, and worked out as by a worker where `done`."""
    from sites.energy.reading.remedy_years import wanted_of
    from sites.energy.reading.years import latest_inputs
    from sites.energy.writing.remedy_years import ask_for_remedy_years
    from sites.energy.writing.years import Given, enter_inputs
    from sites.house.writing.working_out import work_out

    inputs = latest_inputs(case.premises) or enter_inputs(
        premises=case.premises, given=Given(region=3, yearly_use_kwh=3500), seen="", by=by
    )
    wanted = wanted_of(decide_case(case, remedies=True), inputs)
    row = ask_for_remedy_years(design=case.design, seen=wanted.digest, by=by)
    if done:
        work_out(str(row.key), row.digest)


def make_energy_file(case: Case, *, by: Person) -> EnergyFile:
    """A file of meter readings, invented, taken by the same service as the page uses."""
    from sites.energy.reading.files import HowRead
    from sites.energy.writing.files import keep_file

    return keep_file(
        premises=case.premises, kind="meter", name="meter.csv", content=meter_csv(),
        how=HowRead("utc"), region=3, by=by,
    )  # fmt: skip


def meter_csv(*, kwh: float = 0.25, step_minutes: int = 30) -> bytes:
    """Readings of the year 2025 in UTC, the same in every step; invented."""
    begin = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
    steps = 365 * 1440 // step_minutes
    cases = (
        f"{begin + dt.timedelta(minutes=step_minutes * n):%Y-%m-%d %H:%M},{kwh}"
        for n in range(steps)
    )
    return ("time,use kWh\n" + "\n".join(cases) + "\n").encode()


def irradiance_csv() -> bytes:
    """Hourly light of the region 3 in UTC, its typical year's; invented."""
    from connections.energy.weather.regions import region
    from connections.energy.weather.typical_year import typical_year

    begin = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
    light = typical_year(region(3)).ghi.reshape(-1, 4).mean(axis=1)
    cases = (
        f"{begin + dt.timedelta(hours=n):%Y-%m-%dT%H:%MZ},{ghi:.1f}"
        for n, ghi in enumerate(light.tolist())
    )
    return ("time,ghi\n" + "\n".join(cases) + "\n").encode()


def make_limits(case: Case, *, by: Person, waits: bool = False, stopped: bool = False) -> None:
    """Export limits tried in the year of the case's design, worked out as by a worker; or asked
    for and left waiting, or stopped at once. Its premises has a region and a use already."""
    from sites.energy.writing.limit_sweeps import ask_for_limits, stop_limits
    from sites.house.writing.working_out import work_out

    row = ask_for_limits(design=case.design, limits_w=range(0, 3601, 400), by=by)
    if stopped:
        stop_limits(design=case.design, by=by)
    elif not waits:
        work_out(str(row.key), row.digest)


def make_equipment(**changes: Any) -> Equipment:
    """A model of the equipment catalogue; maker and model are invented."""
    facts = {
        "maker": "Invented Works",
        "model": "H3.6",
        "source": "pv+storage",
        "rated_w": 3600,
        "type_tested": "full",
        "standard": "G98",
        **changes,
    }
    return Equipment.objects.create(**facts)


def short_limit() -> ReadInDocument:
    """The 17 kW of the short form, as an engineer finds it in EREC G99."""
    book = resolve(load_books(), on=dt.date(2026, 11, 30))
    value = book.values["g99-short.single_limit"]
    return ReadInDocument(name_of(book, value), "EREC G99, Issue 2 (2025)", value.written)


def make_reading(*, by: Person) -> ValueReading:
    """What an engineer has read: the 17 kW of the short form."""
    read_values(values=[short_limit()], by=by)
    return ValueReading.objects.get(about="g99-short.single_limit", taken_back_at=None)


def make_local_entry(*, by: Person, area: str = "gb-12") -> LocalEntry:
    """A local entry: the operator of an area lets exactly 32 A in, by an invented letter."""
    return add_entry(area=area, entry=reading(), reason="The operator wrote.", by=by)


def small_picture(kind: str = "PNG", size: tuple[int, int] = (8, 4), **more: Any) -> bytes:
    """An invented picture of one colour, as a file."""
    out = io.BytesIO()
    Image.new("RGB", size, (200, 80, 20)).save(out, kind, **more)
    return out.getvalue()
