"""What was decided on many lines of applications at once, kept in short for lists.

A decision depends on the rows beneath premises and design, on the date, on the rulebook files and
on the firm's local entries. Every service that touches rows raises the versions, or renews the
stamp of the entries, and the files are read once in a process, so a short form is kept under keys,
versions, date and stamp, and is right for as long as it is kept.
"""

import datetime as dt
from collections import OrderedDict
from collections.abc import Iterable
from threading import Lock
from uuid import UUID

from msgspec import Struct, structs

from connections.facts.decision import Decision, Finding
from connections.pack.build import kind_of, pack_hindrances
from sites.deciding.reading.deciding import DecidedSite, assessor, decide_rows
from sites.premises.models import ApplicationLine
from sites.premises.reading.site_rows import rows_of_designs, today
from sites.review.models import Verdict
from sites.review.reading.verdicts import with_verdicts
from sites.rulebook.reading.local_entries import stamp

KEPT = 5000

_Key = tuple[UUID, int, UUID, int, dt.date, UUID]


class Judged(Struct, frozen=True):
    """A decision in short.

    `decision` holds only the findings that somebody must act on. `kind` is that of the pack that
    would follow; `settled` says that a procedure follows that is prepared here. `missing` counts
    the facts that are wanted now, `afterwards` what is known only when the work is done (dates,
    serial numbers). `fault` says why the rows can't be decided at all.
    """

    procedure: str = ""
    kind: str = "assessment"
    settled: bool = False
    decision: Decision | None = None
    missing: int = 0
    afterwards: int = 0
    fault: str = ""


_kept: OrderedDict[_Key, Judged] = OrderedDict()
_lock = Lock()


def judge(lines: Iterable[ApplicationLine]) -> dict[int, Judged]:
    """The decision on each line in short, by the line's primary key.

    At most 14 queries, whatever the number of lines, if premises and designs are loaded already.
    """
    lines = list(lines)
    entries = stamp()
    keys = {line.pk: _key(line, entries) for line in lines}
    with _lock:
        found = {pk: _kept[key] for pk, key in keys.items() if key in _kept}
    wanted = [line for line in lines if line.pk not in found]
    for line in wanted:
        line.design.premises = line.premises
    rows = rows_of_designs(line.design for line in wanted) if wanted else {}
    under = assessor() if wanted else None
    for line in wanted:
        found[line.pk] = in_short(decide_rows(rows[line.design_id], under=under))
        with _lock:
            _kept[keys[line.pk]] = found[line.pk]
            if len(_kept) > KEPT:
                _kept.popitem(last=False)
    return found


def in_short(decided: DecidedSite) -> Judged:
    """What lists need of a decision."""
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
    )


def still_open(found: Judged, verdicts: Iterable[Verdict]) -> tuple[Finding, ...]:
    """The findings that no verdict answers; `verdicts` oldest first, the latest counts."""
    if found.decision is None:
        return ()
    return tuple(each.finding for each in with_verdicts(found.decision, verdicts) if each.is_open)


def _key(line: ApplicationLine, entries: UUID) -> _Key:
    premises, design = line.premises, line.design
    day = premises.on_date or today()
    return premises.key, premises.version, design.key, design.version, day, entries
