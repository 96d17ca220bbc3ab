"""Working out the years of a design's remedies: `asked` holds a connections.energy.asked.YearAsked
by the mark of each remedy, and that of the design as it stands under an empty mark; `results` what
is worked out so far, by the same marks."""

from functools import cache

from django.utils import timezone
from msgspec import convert, to_builtins

from connections.energy.asked import Files, YearAsked, year_of
from connections.energy.faults import EnergyError, InvariantError
from connections.facts.canonical import digest as digest_of
from sites.energy.reading.remedy_years import AS_IT_STANDS, WorkedOut, worked_out
from sites.house import storage
from sites.house.models import Work
from sites.house.writing.working_out import PROGRAM_FAILED, WorkKind, finish, keep, note_fault


def work_out_remedies(work: Work) -> bool:
    """Work out the years that are not there yet; whether all of it is done now.

    A year that cannot be is noted in words and the others go on; a failure of the program is noted
    and raised once they are through. Without the year of the design as it stands there is nothing
    to compare with, and it ends.
    """
    asked = convert(work.asked, dict[str, YearAsked])
    results = worked_out(work)
    known = {digest_of(asked[mark]): one for mark, one in results.items()}
    files = cache(storage.stored)
    failure: Exception | None = None
    for mark in sorted(asked.keys() - results.keys()):
        # Two remedies may make the same year, such as a smaller unit and one held to as much.
        name = digest_of(asked[mark])
        one = known.get(name)
        if one is None:
            one, fault = _year(asked[mark], files)
            known[name] = one
            failure = failure or fault
        if mark == AS_IT_STANDS and one.figures is None:
            note_fault(work.key, work.digest, one.fault)
            if failure is not None:
                raise failure
            return False
        results[mark] = one
        if not keep(work, to_builtins(results)):
            return False
    done = finish(work, to_builtins(results))
    if failure is not None:
        raise failure
    return done


def _year(asked: YearAsked, files: Files) -> tuple[WorkedOut, Exception | None]:
    """A year, or why there is none; with the failure where it is one of the program."""
    failure: Exception | None = None
    try:
        return WorkedOut(timezone.now(), year_of(asked, files).figures), None
    except InvariantError as error:
        fault, failure = str(error), error
    except EnergyError as error:
        fault = str(error)
    except Exception as error:
        fault, failure = PROGRAM_FAILED, error
    return WorkedOut(timezone.now(), None, fault), failure


KIND = WorkKind(work_out_remedies)
