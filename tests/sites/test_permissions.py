"""Who may open and do what: every address of the URLconf, for each role, signed out, and for a key
that belongs to nothing. An address without a row here fails."""

import shutil
import uuid
from collections.abc import Iterator
from typing import Any, NamedTuple

import pytest
from django.test import override_settings
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from sites.cases.models import Case
from sites.days.writing import make_address
from sites.desk.pages.given import GIVEN
from sites.packs.tasks import rebuild_pack
from sites.people.models import Person
from sites.people.writing import end_access, save_firm
from sites.prices.writing import enter_price, enter_vat
from sites.review.writing.saved_views import save_view
from tests.sites.making import (
    PASSWORD,
    island,
    make_attachment,
    make_conversation,
    make_dispatch,
    make_energy_file,
    make_equipment,
    make_local_entry,
    make_pack,
    make_person,
    make_premises,
    make_question,
    make_reading,
    make_record_query,
    make_reply,
    make_screening,
    make_touched,
    make_works,
    small_picture,
)
from tests.sites.prices.making import price, rate

# Every query of a page is to be one that each database takes.
pytestmark = pytest.mark.database

SEEN = {200}
# A form sent empty by somebody who may send it: shown again, refused for what is in it, or done.
TAKEN = {200, 302, 303, 400, 409, 422}
REFUSED = {403}
NOT_FOUND = {404}
TO_SIGN_IN = {302}
ASKED_TO_SIGN_IN = {401}


class Row(NamedTuple):
    """One method of one address: what its keys are of, and the codes that each may meet."""

    method: str
    of: str
    office: set[int]
    engineer: set[int]
    manager: set[int]
    installer: set[int]
    signed_out: set[int]


def opens(
    of: str = "",
    *,
    office: set[int] = SEEN,
    engineer: set[int] = SEEN,
    manager: set[int] | None = None,
    installer: set[int] | None = None,
) -> Row:
    """A page or file. A manager meets what the office meets."""
    manager = office if manager is None else manager
    installer = (NOT_FOUND if of else REFUSED) if installer is None else installer
    return Row("GET", of, office, engineer, manager, installer, TO_SIGN_IN)


def sends(
    of: str = "",
    *,
    office: set[int] = TAKEN,
    engineer: set[int] = TAKEN,
    manager: set[int] | None = None,
    installer: set[int] | None = None,
) -> Row:
    """A form or an act. A manager meets what the office meets."""
    row = opens(of, office=office, engineer=engineer, manager=manager, installer=installer)
    return row._replace(method="POST", signed_out=ASKED_TO_SIGN_IN)


def only_managers(method: str, of: str = "") -> Row:
    """What nobody but a manager may open or do."""
    row = opens(of, office=REFUSED, engineer=REFUSED, manager=SEEN)
    return row if method == "GET" else sends(of, office=REFUSED, engineer=REFUSED, manager=TAKEN)


def open_to_all(method: str, codes: set[int], signed_out: set[int]) -> Row:
    """What every role meets alike."""
    return Row(method, "", codes, codes, codes, codes, signed_out)


ENTRY = {
    "case-installer": [opens("line"), sends("line")],
    "work-list": [opens(installer=SEEN)],
    "sign-in": [open_to_all("GET", SEEN, SEEN), open_to_all("POST", SEEN, SEEN)],
    # allauth's name for the same address.
    "account_login": [open_to_all("GET", SEEN, SEEN), open_to_all("POST", SEEN, SEEN)],
    # Without a password typed just before, there is no second step: back to the first.
    "mfa_authenticate": [open_to_all("GET", {302}, {302}), open_to_all("POST", {302}, {302})],
    "password-forgotten": [open_to_all("GET", SEEN, SEEN), open_to_all("POST", SEEN, SEEN)],
    "password-set": [
        open_to_all("GET", SEEN, SEEN)._replace(of="uid token"),
        open_to_all("POST", SEEN, SEEN)._replace(of="uid token"),
    ],
    "account": [opens(installer=SEEN)],
    "morning-mail": [open_to_all("POST", {302}, ASKED_TO_SIGN_IN)],
    "days": [opens(installer=SEEN)],
    "calendar-address": [open_to_all("POST", SEEN, ASKED_TO_SIGN_IN)],
    "calendar-feed": [open_to_all("GET", SEEN, SEEN)._replace(of="calendar")],
    "password-change": [opens(installer=SEEN), sends(installer=TAKEN)],
    "account_reauthenticate": [opens(installer=SEEN), sends(installer=TAKEN)],
    "mfa_activate_totp": [opens(installer=SEEN), sends(installer=TAKEN)],
    # Nobody here has a code.
    "mfa_deactivate_totp": [
        opens(office=NOT_FOUND, engineer=NOT_FOUND, installer=NOT_FOUND),
        sends(office=NOT_FOUND, engineer=NOT_FOUND, installer=NOT_FOUND),
    ],
    "mfa_view_recovery_codes": [opens(office=NOT_FOUND, engineer=NOT_FOUND, installer=NOT_FOUND)],
    "recovery-codes-new": [opens(installer=SEEN), sends(installer=TAKEN)],
    "firm-logo": [open_to_all("GET", SEEN, SEEN)],
    "sign-out": [open_to_all("POST", {302}, {302})],
    "health": [open_to_all("GET", SEEN, SEEN)],
    "help": [opens(office={302}, engineer={302}, installer={302})],
    "help-page": [opens("help-page", installer=SEEN)],
    "ready": [open_to_all("GET", SEEN, SEEN)],
    "fresh-token": [open_to_all("GET", SEEN, ASKED_TO_SIGN_IN)],
    "events": [opens("premises")],
    "events-file": [opens("premises")],
}
SHEET = {
    "case-move": [sends("line")],
    "case-commissioned": [opens("line"), sends("line")],
    "case-owner": [sends("line")],
    "case-archive": [sends("line")],
    "case-again": [sends("line")],
    "premises-new": [opens(), sends()],
    "premises-import": [opens(), sends()],
    "premises": [opens("premises")],
    "premises-double": [sends("premises")],
    "design-site-file": [opens("design")],
    "design-sheet": [opens("design"), sends("design")],
    "new-panel": [sends()],
    "design-panel": [sends("design")],
    "sheet-row": [opens("group", installer=SEEN)],
    "draft-drop": [sends("design")],
    "new-draft-drop": [sends()],
    "design-copy": [sends("design")],
    "design-choose": [sends("design")],
    "design-from-remedy": [sends("design")],
    "costs": [opens("premises")],
    "choice": [sends("premises")],
    "design-cost": [opens("design"), sends("design")],
    "designs": [opens("premises")],
    "designs-print": [opens("premises")],
    "designs-energy": [sends("premises")],
    "designs-energy-ask": [sends("premises")],
    "designs-energy-progress": [opens("premises")],
    "remedy-years": [opens("design"), sends("design")],
    "energy-file": [opens("energy-file")],
    "design-limits": [opens("design"), sends("design")],
    "design-limits-progress": [opens("design")],
    "design-limits-stop": [sends("design")],
    "design-limits-again": [sends("design")],
    "design-limits-copy": [sends("design")],
}
REVIEW = {
    "review-list": [opens()],
    "cases-assign": [sends()],
    "view-save": [sends()],
    "view-delete": [sends("view", engineer=NOT_FOUND, manager=NOT_FOUND)],
    "case-review": [opens("line")],
    "case-checks": [opens("line")],
    "verdict": [sends("line", office=REFUSED)],
    "question": [sends("line", office=REFUSED)],
    "question-answer": [sends("question")],
    "case-answers": [opens("line"), sends("line")],
    "answer-take-back": [sends("reply")],
    "case-swap": [opens("line")],
    "case-record": [opens("line"), sends("line")],
    "record-letter": [opens("line")],
    "record-answer": [sends("record")],
    "case-works": [opens("line"), sends("line")],
    "works-days": [sends("works")],
    "answer-accept": [sends("reply")],
    "answer-paid": [sends("reply")],
    "condition-met": [sends("condition")],
}
PACKS = {
    "pack-preview": [opens("application")],
    "preview-print": [opens("application")],
    "issue": [sends("application", office=REFUSED)],
    "pack": [opens("pack")],
    # Its print waits for a worker here, so one is sent to the page that says so.
    "pack-print": [opens("pack", office={302}, engineer={302})],
    "pack-data": [opens("pack")],
    "annex-print": [opens("pack", office={302}, engineer={302})],
    "notice-print": [opens("pack", office={302}, engineer={302})],
    "pack-status": [opens("pack")],
    "pack-print-again": [sends("pack")],
    "pack-rebuild": [sends("pack")],
    "pack-rebuilt": [opens("pack task")],
    "pack-recheck": [opens("pack")],
    "pack-erase": [opens("pack", office=REFUSED), sends("pack", office=REFUSED)],
    "send-without": [sends("application", office=REFUSED)],
    "attachment-add": [sends("line")],
    "attachment": [opens("attachment")],
    "attachment-take-out": [sends("attachment")],
}
SENDING = {
    "case-send": [opens("line"), sends("line")],
    "case-send-mail": [sends("line")],
    "case-send-zip": [sends("line")],
    "case-copy": [opens("line"), sends("line")],
    "case-calls": [opens("line"), sends("line")],
    "call-chased": [sends("conversation")],
    "operator-form": [opens("operator"), sends("operator")],
    "dispatch-again": [sends("dispatch")],
    "dispatch-end": [opens("dispatch"), sends("dispatch")],
}
LOCAL = {
    "local-list": [opens()],
    "local-choose": [opens(office=REFUSED)],
    # Without the key of a value there is nothing to enter: back to choosing one.
    "local-new-value": [opens(office=REFUSED, engineer={302}), sends(office=REFUSED)],
    "local-new-cap": [opens(office=REFUSED), sends(office=REFUSED)],
    "local-new-condition": [opens(office=REFUSED), sends(office=REFUSED)],
    "local-load": [opens(office=REFUSED), sends(office=REFUSED)],
    "local-download": [opens()],
    "local-entry": [opens("local")],
    "local-end": [sends("local", office=REFUSED)],
}
SCREENING = {
    "screenings": [opens(), sends(office=REFUSED)],
    "screening": [opens("screening")],
    "screening-progress": [opens("screening")],
    "screening-all-looked": [sends("screening", office=REFUSED)],
    "screening-rest": [sends("screening", office=REFUSED)],
    "screening-looked": [sends("screening-row", office=REFUSED)],
}
RULEBOOK = {
    "rulebook": [opens(installer=SEEN)],
    "rulebook-values": [opens(installer=SEEN)],
    "rulebook-value": [opens("value", installer=SEEN)],
    "rulebook-table": [opens(installer=SEEN)],
    "rulebook-steps": [opens(installer=SEEN)],
    "rulebook-settings": [opens(installer=SEEN)],
    "rulebook-sources": [opens(installer=SEEN)],
    "rulebook-words": [opens(installer=SEEN)],
    "rulebook-difference": [opens(installer=SEEN)],
    "case-explained": [opens("line")],
    "values-to-read": [opens(), sends(office=REFUSED)],
    "reading-take-back": [sends("reading", office=REFUSED)],
}
CATALOGUE = {
    "quick-look": [opens(installer=SEEN)],
    "quick-look-keep": [sends()],
    "prices": [opens()],
    "price-new": [opens(engineer=REFUSED), sends(engineer=REFUSED)],
    "price-end": [opens("price", engineer=REFUSED), sends("price", engineer=REFUSED)],
    "vat-new": [opens(engineer=REFUSED), sends(engineer=REFUSED)],
    "vat-end": [opens("rate", engineer=REFUSED), sends("rate", engineer=REFUSED)],
    "equipment": [opens(installer=SEEN)],
    "equipment-new": [opens(), sends()],
    "equipment-one": [opens("equipment"), sends("equipment")],
    "equipment-take-out": [opens("equipment"), sends("equipment")],
}
PEOPLE = {
    "people": [only_managers("GET")],
    "person-invite": [only_managers("GET"), only_managers("POST")],
    "person": [only_managers("GET", "person")],
    "person-roles": [only_managers("POST", "person")],
    "person-end": [only_managers("POST", "person")],
    "person-link": [only_managers("POST", "person")],
    "person-forget-code": [only_managers("POST", "person")],
    "person-hand-over": [only_managers("GET", "person"), only_managers("POST", "person")],
    "firm": [only_managers("GET"), only_managers("POST")],
}
MATRIX: dict[str, list[Row]] = {
    **PEOPLE,
    **RULEBOOK,
    **SCREENING,
    **ENTRY,
    **SHEET,
    **REVIEW,
    **PACKS,
    **SENDING,
    **LOCAL,
    **CATALOGUE,
}

ROLES = ("office", "engineer", "manager", "installer")

# What stands in an address in place of a key.
WORDS = {
    "help-page": "threats",
    "operator": "gb-16",
    "group": "proposed-units",
    "value": "g98.unit_limit",
}
# Where a link is dead, or nobody has a code, this is told whatever the method.
BEFORE_THE_METHOD = {"mfa_authenticate": 302, "password-set": 200, "mfa_deactivate_totp": 404}
# A link that does not work is told, and never a page that is not there.
LINK = {"uid": "MQ", "token": "old"}


def addresses(patterns: list[Any], before: str = "") -> Iterator[tuple[str, str]]:
    """Every address of the URLconf with its name."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from addresses(pattern.url_patterns, f"{before}{pattern.pattern}")
        elif isinstance(pattern, URLPattern):
            yield pattern.name or "", f"{before}{pattern.pattern}"


NAMES = sorted(name for name, _address in addresses(get_resolver().url_patterns))
ROWS = [(name, row) for name in NAMES for row in MATRIX.get(name, [])]


def each(rows: list[tuple[str, Row]]) -> pytest.MarkDecorator:
    """A test for each row."""
    return pytest.mark.parametrize(
        ("name", "row"), [pytest.param(*row, id=f"{row[1].method} {row[0]}") for row in rows]
    )


@pytest.fixture(scope="module")
def people(rows_for_all):
    return {role: make_person(role, password=PASSWORD) for role in ROLES}


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    return tmp_path_factory.mktemp("permissions")


@pytest.fixture(scope="module")
def keys(people, files):
    """A key of each kind: a premises with a question and a file, and one that was issued."""
    with override_settings(MEDIA_ROOT=files):
        return make_keys(people)


@pytest.fixture(autouse=True)
def as_they_were(db, keys, files, store, quick_print):
    """Rows and files as they were made, whatever an earlier row took out; a print in a moment."""
    shutil.copytree(files, store.parent)


def make_keys(people):
    save_firm({"name": "Harrow Lane Solar (invented)"}, logo=small_picture())
    flagged = make_premises(**island(), by=people["office"])
    pack = make_pack(make_premises(by=people["office"]), by=people["engineer"])
    reply = make_reply(flagged, by=people["office"])
    return {
        "premises": flagged.premises.key,
        "design": flagged.design.key,
        "line": flagged.key,
        "application": flagged.application.key,
        "question": make_question(flagged, by=people["engineer"]).key,
        "reply": reply.key,
        "condition": reply.conditions.get().key,
        "record": make_record_query(flagged, by=people["office"]).key,
        "works": make_works(flagged, by=people["office"]).key,
        "attachment": make_attachment(flagged, by=people["office"]).key,
        "energy-file": make_energy_file(flagged, by=people["office"]).key,
        "pack": pack.key,
        "conversation": make_conversation(flagged, by=people["office"]).key,
        "dispatch": make_dispatch(pack, by=people["office"]).key,
        "screening": make_screening(by=people["engineer"]).key,
        "screening-row": make_touched(flagged).key,
        "equipment": make_equipment().key,
        "price": enter_price(wanted=price(), by=people["office"]).key,
        "rate": enter_vat(wanted=rate(), by=people["office"]).key,
        "reading": make_reading(by=people["engineer"]).key,
        "view": save_view(of="work", name="Late", asked="due=overdue", by=people["office"]).key,
        "local": make_local_entry(by=people["engineer"]).key,
        "task": rebuild_pack.enqueue(pack.digest).id,
        "person": make_person("office").key,
        "calendar": make_address(by=people["office"]),
        **WORDS,
        **LINK,
    }


def address_of(name: str, row: Row, keys: dict[str, Any]) -> str:
    return reverse(name, args=[keys[of] for of in row.of.split()])


def ask(client, name: str, row: Row, keys: dict[str, Any]):
    kind = "application/x-www-form-urlencoded" if row.method == "POST" else ""
    answer = client.generic(row.method, address_of(name, row, keys), content_type=kind)
    if answer.streaming:
        answer.getvalue()  # reads the file to its end, which closes it
    return answer


def test_every_address_has_a_row():
    assert [name for name in NAMES if name not in MATRIX] == []


def test_every_row_has_an_address():
    assert [name for name in MATRIX if name not in NAMES] == []


def test_no_two_addresses_share_a_name():
    assert len(NAMES) == len(set(NAMES))


@each(ROWS)
@pytest.mark.parametrize("role", ROLES)
def test_each_role_meets_its_codes(client, people, keys, role, name, row):
    client.force_login(people[role])
    assert ask(client, name, row, keys).status_code in getattr(row, role)


@each(ROWS)
def test_signed_out_sees_nothing(client, keys, name, row):
    answer = ask(client, name, row, keys)
    assert answer.status_code in row.signed_out
    assert b"Reedcutter" not in answer.content
    if answer.status_code == 302:
        assert answer["Location"].startswith(reverse("sign-in"))


def test_an_installer_sees_what_belongs_to_a_case_given_to_him(client, people, keys):
    """The same addresses as before, once the cases of all keys are given: what he may open opens,
    and what others do is refused in words. Of somebody else's case each answered 404 above."""
    Case.objects.update(installer=people["installer"])
    client.force_login(people["installer"])
    for name, row in ROWS:
        way, methods = GIVEN.get(name, (None, set()))
        if way is None:
            continue
        code = ask(client, name, row, keys).status_code
        if row.method in methods:
            assert code in row.office, name
        else:
            assert code == 403, name


def test_every_address_of_a_case_is_said_to_installers():
    of_cases = {"premises", "design", "line", "application", "question", "reply", "condition",
                "works", "record", "attachment", "energy-file", "pack", "dispatch",
                "conversation"}  # fmt: skip
    named = {name for name, row in ROWS if row.of.split()[:1] and row.of.split()[0] in of_cases}
    assert named == GIVEN.keys()


def test_ended_access_is_like_none_at_once(client, people, keys):
    gone = make_person("engineer", password=PASSWORD)
    for name, row in ROWS:
        client.force_login(gone)
        end_access(person=gone, by=people["manager"])
        assert ask(client, name, row, keys).status_code in row.signed_out, name
        Person.objects.filter(pk=gone.pk).update(is_active=True, password=gone.password)


@each([(name, row) for name, row in ROWS if row.of])
def test_a_key_of_nothing_is_not_found(client, people, keys, name, row):
    client.force_login(people["manager" if row.engineer == REFUSED else "engineer"])
    for wrong in {*row.of.split()} - {*LINK}:
        strange = {**keys, wrong: "no-such-group" if wrong in WORDS else uuid.uuid4()}
        assert ask(client, name, row, strange).status_code == 404, wrong


@pytest.mark.parametrize("name", [name for name in NAMES if name in MATRIX])
def test_no_other_method_is_taken(client, people, keys, name):
    client.force_login(people["manager" if name in PEOPLE else "engineer"])
    rows = MATRIX[name]
    for method in {"GET", "POST", "PUT", "DELETE"} - {row.method for row in rows}:
        answer = ask(client, name, rows[0]._replace(method=method), keys)
        assert answer.status_code == BEFORE_THE_METHOD.get(name, 405), method
