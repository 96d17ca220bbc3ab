"""What is done with kept decisions at night."""

import random

from django.db import DatabaseError
from django.db.models import Q

from connections.pack.figures import counted
from sites.cases.models import Case, KeptDecision
from sites.cases.moves import ACTS, APPLICATION, OFFER_RECEIVED
from sites.cases.writing import moves_on
from sites.premises.reading.site_rows import today
from sites.review.reading.kept import keeping, stale_decisions
from sites.review.reading.replies import last_day, settling
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


def lapse_ended() -> str:
    """Lapse every case whose offer or agreement has ended, with its last day; say how many."""
    ended = Q(replies__valid_until__lt=today()) | Q(replies__agreed_until__lt=today())
    states = [state for state in ACTS["lapse"].to if state]
    done = 0
    for case in Case.objects.filter(ended, state__in=states, way=APPLICATION).distinct():
        on, _says = last_day(settling(case.replies.all()), case.state)
        if on is None or on >= today():
            continue
        what = "offer" if case.state == OFFER_RECEIVED else "agreement"
        reason = f"The last day of the {what} was {on.day} {on:%B %Y}."
        done += moves_on(case=case, act="lapse", by=None, reason=reason) is not None
    return f"{counted(done, 'offer or agreement', 'offers or agreements')} lapsed."


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
