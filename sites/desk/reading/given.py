"""Which cases an installer sees, and by what way a key in an address leads to a case."""

from uuid import UUID

from django.db.models import Model, Q
from msgspec import Struct

from sites.cases.models import Application, Case
from sites.energy.models import EnergyFile
from sites.packs.models import FrozenPack
from sites.people.models import Person
from sites.premises.models import Design, Premises
from sites.review.models import Attachment, Condition, Question, RecordQuery, Reply, Works
from sites.sending.models import Conversation, Dispatch


class Way(Struct, frozen=True):
    """Rows that a key is of, and the look-up that leads from them to cases; empty for cases."""

    rows: type[Model]
    to_case: str


PREMISES = Way(Premises, "cases__")
DESIGN = Way(Design, "premises__cases__")
CASE = Way(Case, "")
APPLICATION = Way(Application, "cases__")
PACK = Way(FrozenPack, "application__cases__")
ATTACHMENT = Way(Attachment, "case__")
QUESTION = Way(Question, "case__")
REPLY = Way(Reply, "case__")
RECORD = Way(RecordQuery, "case__")
WORKS_ROW = Way(Works, "case__")
CONDITION = Way(Condition, "reply__case__")
DISPATCH = Way(Dispatch, "application__cases__")
CONVERSATION = Way(Conversation, "case__")
ENERGY_FILE = Way(EnergyFile, "premises__cases__")


def given_to(person: Person, to_case: str = "") -> Q:
    """Rows of the cases that are given to this person or owned by him, by a look-up to cases."""
    return Q(**{f"{to_case}installer": person}) | Q(**{f"{to_case}owner": person})


def is_given(person: Person, way: Way, key: UUID) -> bool:
    """Whether the row with this key belongs to a case of this person; one query."""
    rows = way.rows._default_manager.filter(given_to(person, way.to_case), key=key)
    return rows.exists()
