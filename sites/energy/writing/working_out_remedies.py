"""Work of remedy years: the years of a design and its remedies.

`asked` maps the mark of each remedy to a connections.energy.asked.YearAsked; the unchanged design
has an empty mark. `results` holds the results so far, by the same marks.
"""

from functools import cache

from django.utils import timezone
from msgspec import convert, to_builtins

from connections.energy.asked import Files, YearAsked, year_of
from connections.energy.energy_errors import EnergyError, InvariantError
from connections.facts.canonical import digest as digest_of
from sites.energy.reading.remedy_years import AS_IT_STANDS, WorkedOut, worked_out
from sites.house import storage
from sites.house.models import Work
from sites.house.writing.working_out import PROGRAM_FAILED, WorkKind, finish, keep, note_fault


def work_out_remedies(work: Work) -> bool:
    """Work out the missing years; return whether all are done.

    Notes an impossible year in words and continues. Notes a failure of the program and raises it
    after the others. Ends without the year of the unchanged design, because there is nothing to
    compare with.
    """
    asked = convert(work.asked, dict[str, YearAsked])
    results = worked_out(work)
    known = {digest_of(asked[mark]): one for mark, one in results.items()}
    files = cache(storage.stored)
    failure: Exception | None = None
    for mark in sorted(asked.keys() - results.keys()):
        # Two remedies can lead to the same year: a smaller unit, or one limited to the same power.
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
    """Return a year, or the reason for none, with the failure if the program is at fault."""
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
