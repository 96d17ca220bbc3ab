"""Asks the worker to print a pack again."""

from django.db import transaction

from sites.house.refusals import RefusedError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack
from sites.packs.tasks import print_pack
from sites.packs.writing.printing import BESIDE, TO_PRINT, event_data
from sites.people.models import Person


@transaction.atomic
def ask_to_print_again(*, pack: FrozenPack, by: Person) -> None:
    """Ask the worker again, after a failure or if a print is late.

    Raises RefusedError if there is nothing to print.
    """
    asked = FrozenPack.objects.filter(TO_PRINT | BESIDE, pk=pack.pk).update(print_fault="")
    if not asked:
        raise RefusedError("This pack is printed already, or its personal part was erased.")
    record("pack.print-asked", by=by, subject=pack.application, data=event_data(pack))
    print_pack.enqueue(pack.digest)
