"""Creates premises from uploaded site files."""

from django.db import transaction
from msgspec import Struct

from connections.facts.reading import read_site
from connections.facts.site_file_error import SiteFileError
from sites.people.models import Person
from sites.premises.models import Premises
from sites.premises.reading.doubles import Alike, doubles_of
from sites.premises.refusals import (
    EngineersFigureError,
    ReferenceTakenError,
    TooManyUnitsError,
)
from sites.premises.writing.importing import import_premises, not_kept


class Imported(Struct, frozen=True):
    """Result of one file: a new premises, or a fault that says what to do.

    `premises` is the new one, or the one that has the reference already. `path` is the place of a
    fault in the file, empty for the whole file. `left_out` are paths of facts that have no box on
    the sheet. `alike` are premises with the same supply number or address.
    """

    file: str
    premises: Premises | None
    path: str = ""
    fault: str = ""
    left_out: tuple[str, ...] = ()
    alike: tuple[Alike, ...] = ()


def import_site_file(*, name: str, content: bytes, by: Person) -> Imported:
    """Create a premises from a site file; change nothing if that fails.

    Never overwrites a premises that has the reference.
    """
    try:
        site = read_site(content)
    except SiteFileError as fault:
        return Imported(name, None, fault.path, sentence(fault.message))
    try:
        with transaction.atomic():
            case = import_premises(site, by=by)
            left_out = tuple(not_kept(site, case.design))
    except ReferenceTakenError:
        there = Premises.objects.filter(reference=site.reference).first()
        return Imported(name, there, "reference", _TAKEN)
    except EngineersFigureError as fault:
        return Imported(name, None, "overrides", sentence(str(fault)))
    except TooManyUnitsError as fault:
        return Imported(name, None, "units", sentence(str(fault)))
    return Imported(name, case.premises, left_out=left_out, alike=tuple(doubles_of(case.premises)))


def sentence(message: str) -> str:
    """Return a message of the reader with a capital and a full stop."""
    return f"{message[:1].upper()}{message[1:].rstrip('.')}."


_TAKEN = (
    "A premises has this reference already, and was left as it is. Give the file another reference "
    "to have both."
)
