"""Results of a look, for the work list and for the page of the run."""

import datetime as dt
from collections.abc import Iterable

from django.db.models import Count, Exists, F, Max, OuterRef, QuerySet, Subquery
from msgspec import Struct

from sites.house.models import Work
from sites.looks.models import CHANGE, DATE, WATCH, ScreeningRow, ScreeningRun
from sites.packs.models import FrozenPack
from sites.premises.models import Premises

# Databases differ in where they sort null.
_NOW_FIRST = F("coming").asc(nulls_first=True)


class Touched(Struct, frozen=True):
    """A case touched by a change of rules, for the work list and its premises' page."""

    row: ScreeningRow
    says: str

    @property
    def sentences(self) -> list[str]:
        """The sentence of each difference."""
        return [change["sentence"] for change in self.row.changes]


def current_watch() -> ScreeningRun | None:
    """Return the latest finished look for changes of rules."""
    return ScreeningRun.objects.filter(kind=WATCH, ended_at__isnull=False).first()


def touched_rows() -> QuerySet[ScreeningRow]:
    """Return rows of the latest look that nobody has looked at and no pack issued since answers."""
    latest = ScreeningRun.objects.filter(kind=WATCH, ended_at__isnull=False)
    issued_since = FrozenPack.objects.filter(
        application=OuterRef("case__application"), issued_at__gt=OuterRef("run__asked_at")
    )
    return ScreeningRow.objects.filter(
        ~Exists(issued_since), run=Subquery(latest.values("pk")[:1]), looked_at__isnull=True
    ).order_by(_NOW_FIRST, "pk")


def touched_premises() -> QuerySet[Premises]:
    """Return the premises touched by a change of rules."""
    return Premises.objects.filter(pk__in=touched_rows().values("case__premises"))


def touched(cases: Iterable[int]) -> dict[int, list[Touched]]:
    """Return what touches these cases (primary keys), by the case; one query."""
    found: dict[int, list[Touched]] = {}
    for row in touched_rows().filter(case__in=list(cases)):
        found.setdefault(row.case_id, []).append(Touched(row, touch_words(row)))
    for rows in found.values():
        rows.sort(key=lambda each: each.row.coming or dt.date.min)
    return found


def touch_words(row: ScreeningRow) -> str:
    """Return the effect of a change of rules on a case, in one line of text."""
    begins = f"From {_day(row.coming)}" if row.coming else "Rules changed"
    if row.was != row.now:
        return f"{begins}: {row.now}" if row.coming else f"{begins}: now {row.now}"
    return f"{begins}: {_differing(row)}"


_ONE_AND_MORE = {
    "step": ("a step differs", "{} steps differ"),
    "finding": ("a finding differs", "{} findings differ"),
    "export": ("the export figure differs", "the export figure differs"),
    "procedure": ("what is possible differs", "what is possible differs"),
}


def _differing(row: ScreeningRow) -> str:
    """Return the kinds of differences, for a case whose procedure stays."""
    kinds = [change["kind"] for change in row.changes]
    found = []
    for kind, (one, more) in _ONE_AND_MORE.items():
        if number := kinds.count(kind):
            found.append(one if number == 1 else more.format(number))
    return ", ".join(found)


def _day(day: dt.date) -> str:
    return f"{day.day} {day:%B} {day.year}"


class Progress(Struct, frozen=True):
    """The progress of a run.

    `differing` counts cases. `faults` names in words the parts that failed. `since` is the time of
    the last progress.
    """

    run: ScreeningRun
    differing: int
    faults: tuple[str, ...]
    parts: int
    since: dt.datetime

    @property
    def ended(self) -> bool:
        """Whether every part is done."""
        return self.run.ended_at is not None


def sites_in_words(number: int) -> str:
    """Return for example "1 site" or "12 sites"."""
    return f"{number} site{'' if number == 1 else 's'}"


def progress_of(run: ScreeningRun) -> Progress:
    """Return the progress of a run; three queries."""
    parts = Work.objects.filter(run=run).aggregate(parts=Count("pk"), done=Max("done_at"))
    faults = Work.objects.filter(run=run).exclude(fault="").values_list("asked", "fault")
    return Progress(
        run=run,
        differing=ScreeningRow.objects.filter(run=run).values("case").distinct().count(),
        faults=tuple(f"{sites_in_words(len(cases))}: {fault}" for cases, fault in faults),
        parts=parts["parts"],
        since=parts["done"] or run.asked_at,
    )


def rows_of(run: ScreeningRun) -> QuerySet[ScreeningRow]:
    """Return the cases with a different result, by reference."""
    return (
        ScreeningRow.objects.filter(run=run)
        .select_related("case__premises", "case__application", "looked_by")
        .order_by("case__application__reference", _NOW_FIRST, "pk")
    )


def issued_of(rows: Iterable[ScreeningRow]) -> dict[int, int]:
    """Return the newest issued revision of each row's application, by application; one query."""
    applications = [row.case.application_id for row in rows]
    return dict(
        FrozenPack.objects.filter(application__in=applications)
        .order_by()
        .values_list("application_id")
        .annotate(Max("revision"))
    )


def runs() -> QuerySet[ScreeningRun]:
    """Return all runs, whether asked for or looks for changes, newest first."""
    return (
        ScreeningRun.objects.select_related("asked_by")
        .annotate(differing=Count("rows__case", distinct=True))
        .order_by("-asked_at", "-pk")
    )


RUN_WORDS = {
    DATE: "Rules of {on}",
    CHANGE: "A local entry that is being considered, rules of {on}",
    WATCH: "What has changed in the rules, and what will",
}


def run_words(run: ScreeningRun) -> str:
    """Return in words what a run compares."""
    return RUN_WORDS[run.kind].format(on=_day(run.on))
