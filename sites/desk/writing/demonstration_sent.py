"""A case of the demonstration that is sent: acknowledged, with a call to chase. All invented."""

import datetime as dt
import uuid

from django.utils import timezone

from sites.cases.models import Case
from sites.cases.writing import move
from sites.packs.reading.packs import draft_of
from sites.packs.writing.issuing import PreviewSeen, issue_pack
from sites.packs.writing.printing import print_frozen
from sites.people.models import Person
from sites.sending.models import PORTAL
from sites.sending.reading.outbox import to_send
from sites.sending.writing.calls import enter_conversation
from sites.sending.writing.copying import enter_form
from sites.sending.writing.sending import note_by_hand

REFERENCE = "FH-102"
_FORM = {
    "customer.name": "1",
    "premises.address_lines": "2",
    "premises.postcode": "3",
    "premises.import_number": "4",
    "supply.phases": "6",
    "supply.cutout_a": "7",
    "units.source": "8.1",
    "units.model": "8.2",
    "units.rated_w": "8.3",
}


def send_demo(case: Case, *, office: Person, engineer: Person) -> None:
    """Issue, print and send the pack of a case, and enter what the operator said of it."""
    today = timezone.localdate()
    move(case=case, act="to-engineer", by=office)
    application = case.application
    draft = draft_of(application)
    seen = PreviewSeen(application.version, draft.revision, draft.content)
    pack = issue_pack(application=application, seen=seen, declaration=None, by=engineer)
    print_frozen(pack.digest)
    pack.refresh_from_db()
    case.refresh_from_db()
    enter_form(operator=to_send(case).operator, numbers=_FORM, by=office)
    note_by_hand(
        case=case,
        pack=pack,
        key=uuid.uuid4(),
        way=PORTAL,
        sent_on=today,
        sent_by=office,
        reference="INVENTED/2417",
        by=office,
    )
    case.refresh_from_db()
    reason = "INVENTED/2417: it is looked at within the week."
    move(case=case, act="acknowledge", by=office, reason=reason, on=today)
    enter_conversation(
        case=case,
        kind="call",
        on=today,
        with_whom="The operator’s desk for small plant (invented)",
        said="They have it. They say within three working days whether it is complete.",
        chase_on=today + dt.timedelta(days=5),
        by=office,
    )
