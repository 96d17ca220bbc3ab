"""Keeps the order of an operator's form, and what was copied into it."""

import re
from collections.abc import Mapping

from django.db import transaction
from django.utils import timezone

from connections.pack.items.declared import COLUMNS, ITEMS
from sites.cases.moves import DESK
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack
from sites.people.models import Person
from sites.sending.models import CopyTick, FormItem
from sites.sending.reading.copying import in_form_order

MOST_OF_AN_ITEM = 5
_NUMBER = re.compile(r"[A-Za-z0-9][A-Za-z0-9.()/-]{0,19}")


@transaction.atomic
def enter_form(*, operator: str, numbers: Mapping[str, str], by: Person) -> None:
    """Keep the numbers of an operator's form: of each data item, those under which it is asked.

    Several are separated by commas; all that was kept before is replaced. Raises NotAllowedError,
    and RefusedError naming the data item.
    """
    _desk(by)
    known = {each.id for each in ITEMS} | {each.id for each in COLUMNS}
    read: dict[str, list[str]] = {}
    for item, typed in numbers.items():
        several = [part.strip() for part in typed.split(",") if part.strip()]
        if item not in known or not several:
            continue
        if len(several) > MOST_OF_AN_ITEM or not all(_NUMBER.fullmatch(each) for each in several):
            raise RefusedError(
                "Write the number of the item on the form, such as 3 or 4.2; several with commas.",
                item,
            )
        read[item] = several
    was = list(FormItem.objects.select_for_update().filter(operator=operator))
    FormItem.objects.filter(operator=operator).delete()
    FormItem.objects.bulk_create(
        FormItem(operator=operator, place=place, number=number, item=item)
        for place, (number, item) in enumerate(in_form_order(read))
    )
    before = {f"{row.number} {row.item}" for row in was}
    now = {f"{number} {item}" for item, several in read.items() for number in several}
    data = {"operator": operator, "added": sorted(now - before), "gone": sorted(before - now)}
    record("form.entered", by=by, subject=by, data=data)


@transaction.atomic
def tick(*, pack: FrozenPack, item: str, done: bool, who: Person) -> None:
    """Keep that a value was copied, or is not. Like a draft, it is nothing that the log tells."""
    _desk(who)
    if done:
        CopyTick.objects.get_or_create(
            pack=pack, item=item[:260], defaults={"by": who, "at": timezone.now()}
        )
    else:
        CopyTick.objects.filter(pack=pack, item=item).delete()


def _desk(by: Person) -> None:
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")
