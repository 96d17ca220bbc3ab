"""Short decisions on many cases at once, cached for lists.

A decision depends on the rows of premises and design, the date, the rulebook files and the firm's
local entries. Every service that changes rows raises the versions, or renews the stamp of the
entries. A process reads the files once. So a cached decision stays right under its keys, versions,
date and stamp.
"""

import datetime as dt
from collections import OrderedDict
from collections.abc import Iterable
from threading import Lock
from uuid import UUID

from msgspec import Struct, structs

from connections.facts.decision import Decision, Finding
from connections.pack.build import kind_of, pack_hindrances
from connections.rulebook.book import Source, Value
from connections.rules.findings.certainty import UNCERTAIN_VALUES
from sites.cases.models import Case
from sites.deciding.reading.deciding import DecidedSite, assessor, decide_rows
from sites.premises.reading.site_rows import rows_of_designs, today
from sites.review.models import Verdict
from sites.review.reading.verdicts import with_verdicts
from sites.rulebook.reading.local_entries import stamp

KEPT = 5000

_Key = tuple[UUID, int, UUID, int, dt.date, UUID]


class Judged(Struct, frozen=True):
    """A short decision.

    `decision` holds only findings that somebody must act on. `kind` is that of the pack that would
    follow. `settled` says that the procedure is one prepared here. `missing` counts facts needed
    now; `afterwards` counts facts known only after the work (dates, serial numbers). `fault` says
    why the rows can't be decided at all. `unread` are the values used that are secondary or from
    memory and that nobody of the firm has read, each with the document that settles it.
    """

    procedure: str = ""
    kind: str = "assessment"
    settled: bool = False
    decision: Decision | None = None
    missing: int = 0
    afterwards: int = 0
    fault: str = ""
    unread: tuple[tuple[Source, Value], ...] = ()


_kept: OrderedDict[_Key, Judged] = OrderedDict()
_lock = Lock()


def judge(cases: Iterable[Case]) -> dict[int, Judged]:
    """Return the short decision on each case, by the case's primary key.

    At most 15 queries for any number of cases, if premises and designs are loaded already.
    """
    cases = list(cases)
    entries = stamp()
    keys = {case.pk: _key(case, entries) for case in cases}
    with _lock:
        found = {pk: _kept[key] for pk, key in keys.items() if key in _kept}
    wanted = [case for case in cases if case.pk not in found]
    for case in wanted:
        case.design.premises = case.premises
    rows = rows_of_designs(case.design for case in wanted) if wanted else {}
    under = assessor() if wanted else None
    for case in wanted:
        found[case.pk] = in_short(decide_rows(rows[case.design_id], under=under))
        with _lock:
            _kept[keys[case.pk]] = found[case.pk]
            if len(_kept) > KEPT:
                _kept.popitem(last=False)
    return found


def in_short(decided: DecidedSite) -> Judged:
    """Shorten a decision for lists."""
    site, book, decision = decided.site, decided.book, decided.decision
    if site is None or book is None or decision is None:
        return Judged(fault=decided.fault, missing=1)
    kind = kind_of(decision)
    missing = set(decision.unknown)
    for finding in decision.findings:
        if finding.id == "missing-fact":
            missing.update(finding.facts or (finding.subject,))
    afterwards = [
        hindrance
        for hindrance in pack_hindrances(
            site, decision, book, prepared_on=site.on_date, subject=decided.proposed
        )
        if hindrance.path.startswith("units[")
    ]
    return Judged(
        procedure=decision.procedure.title,
        kind=kind,
        settled=kind != "assessment",
        decision=structs.replace(
            decision,
            findings=tuple(each for each in decision.findings if each.severity != "inform"),
            phase_sums=(),
            steps=(),
            trace=(),
        ),
        missing=len(missing),
        afterwards=len(afterwards),
        unread=tuple(
            (book.settling(book.values[key]), book.values[key])
            for finding in decision.findings
            if finding.id == UNCERTAIN_VALUES.id
            for key in finding.keys
        ),
    )


def still_open(found: Judged, verdicts: Iterable[Verdict]) -> tuple[Finding, ...]:
    """Return the findings without a valid verdict; `verdicts` oldest first, the latest counts."""
    if found.decision is None:
        return ()
    return tuple(each.finding for each in with_verdicts(found.decision, verdicts) if each.is_open)


def _key(case: Case, entries: UUID) -> _Key:
    premises, design = case.premises, case.design
    day = premises.on_date or today()
    return premises.key, premises.version, design.key, design.version, day, entries
