"""Re-checks a frozen pack: decides its facts again under today's rules."""

import datetime as dt

from msgspec import UNSET, Struct, structs

from connections.assessing import decide_under
from connections.facts.decision import Decision
from connections.facts.site import Premises, Site
from connections.pack.build import build_pack
from connections.pack.changes import changes_between, decisions_between
from connections.pack.content import Change, Decided, Pack
from connections.rulebook.book import Rulebook
from connections.rulebook.keeping import rulebook_from
from sites.deciding.reading.deciding import decide_site
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import pack_of

_SALT = "nothing of this is kept"


class Rechecked(Struct, frozen=True):
    """The differences that today's rules make to the frozen facts.

    `differences` are empty if nothing differs. `as_frozen` says whether the kept
    rulebook still gives the frozen procedure in this program. `fault` says why a re-check is
    impossible.
    """

    on: dt.date
    was: str
    now: str
    differences: tuple[Change, ...]
    as_frozen: bool
    fault: str = ""


def recheck(frozen: FrozenPack, *, on: dt.date) -> Rechecked:
    """Decide the facts of a frozen pack under its own rulebook and under that of `on`.

    Both decisions use the technical part, which outlives an erasure. So differences come from the
    rules and the date alone.
    """
    pack = pack_of(frozen)
    frozen_decision = pack.technical.decided
    site = _placed(pack.technical.site, frozen_decision)
    book = rulebook_from(bytes(frozen.rulebook.content), site.on_date)
    then = decide_under(site, book).decision
    today = structs.replace(site, on_date=on)
    decided = decide_site(today)
    was = _edition(frozen_decision)
    if decided.decision is None or decided.book is None:
        return Rechecked(on, was, "", (), True, decided.fault)
    return Rechecked(
        on=on,
        was=was,
        now=_edition(decided.decision),
        differences=(
            *changes_between(
                _compared(site, then, book, pack),
                _compared(today, decided.decision, decided.book, pack),
            ),
            *decisions_between(then, decided.decision, site),
        ),
        as_frozen=then.procedure.key == frozen_decision.procedure,
    )


def _placed(site: Site, decision: Decided) -> Site:
    """Set the area that the decision used.

    It may have come from the supply number, which is personal.
    """
    if not decision.area:
        return site
    premises = site.premises if isinstance(site.premises, Premises) else Premises()
    return structs.replace(site, premises=structs.replace(premises, licence_area=decision.area))


def _compared(site: Site, decision: Decision, book: Rulebook, pack: Pack) -> Pack:
    return build_pack(
        structs.replace(site, parties=UNSET),
        decision,
        book,
        reference=pack.reference,
        prepared_on=pack.prepared_on,
        salt=_SALT,
        kind=pack.procedure.kind,
    )


def _edition(decision: Decision | Decided) -> str:
    book = decision.rulebook
    return f"{book.edition} ({book.digest[:12]})"
