"""What is done with kept decisions at night."""

import random

from django.db import DatabaseError

from connections.pack.figures import counted
from sites.cases.models import Case, KeptDecision
from sites.review.reading.kept import keeping, stale_decisions
from sites.review.writing.kept import renew

SAMPLE = 200
"""Kept decisions that are compared in a night; our choice."""

_TOLD = 20


def renew_stale() -> str:
    """Renew every kept decision that has run out or rests on something else; say how many."""
    stale = [*stale_decisions().order_by("case").values_list("case", flat=True)]
    without = Case.objects.filter(kept=None).order_by("pk").values_list("pk", flat=True)
    done, failed = 0, []
    for pk in (*without, *stale):
        try:
            renew(Case.objects.get(pk=pk))
        except (Case.DoesNotExist, DatabaseError) as fault:
            failed.append(f"{pk} ({type(fault).__name__})")
        else:
            done += 1
    said = f"{counted(done, 'decision')} renewed."
    return f"{said} Not renewed: {', '.join(failed[:_TOLD])}." if failed else said


def compare_sample() -> str:
    """Decide a sample anew and name the cases whose kept decision differs; change nothing."""
    stale = set(stale_decisions().values_list("case", flat=True))
    keys = [pk for pk in KeptDecision.objects.values_list("case", flat=True) if pk not in stale]
    chosen = random.SystemRandom().sample(keys, min(SAMPLE, len(keys)))
    differing = []
    for case in Case.objects.filter(pk__in=chosen).select_related("application", "kept"):
        names = differences(case)
        if names:
            differing.append(f"{case} ({', '.join(names)})")
    said = f"{counted(len(chosen), 'decision')} decided anew, {len(differing)} differ"
    return f"{said}: {'; '.join(differing[:_TOLD])}." if differing else f"{said}."


def differences(case: Case) -> list[str]:
    """The columns in which the kept decision on a case differs from deciding anew."""
    # Before the new one, which takes its place on the case.
    kept = case.kept
    now = keeping(case)
    return [
        field.attname
        for field in KeptDecision._meta.concrete_fields
        if field.attname not in _OF_ITS_DAY
        and getattr(kept, field.attname) != getattr(now, field.attname)
    ]


_OF_ITS_DAY = {"id", "case_id", "as_of", "good_until"}
