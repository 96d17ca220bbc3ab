"""Scripts of test_at_once: each runs in a process of its own."""

import threading
from collections.abc import Callable
from typing import Any

NUMBER = 8


def _all_at_once(act: Callable[[int], str]) -> list[str]:
    """What each of NUMBER threads comes to that start in the same moment."""
    from django.db import connection

    together = threading.Barrier(NUMBER)
    ends: list[str] = []

    def run(number: int) -> None:
        together.wait()
        try:
            ends.append(act(number))
        except Exception as fault:
            ends.append(type(fault).__name__)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(NUMBER)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=100)
    return sorted(ends)


def save() -> Any:
    """Several save the same sheet, each with another postcode."""
    from sites.cases.models import Case
    from sites.house.models import Event
    from sites.premises.models import Premises
    from sites.premises.reading.site_rows import rows_for
    from sites.premises.writing.sheet import Seen, save_sheet

    def act(number: int) -> str:
        case = Case.objects.select_related("premises", "design").get()
        rows = rows_for(case.premises, case.design)
        rows.premises.postcode = f"ZY{number} 1AA"
        save_sheet(design=case.design, rows=rows, seen=Seen(1, 1), by=None)
        return "saved"

    ends = _all_at_once(act)
    return {
        "ends": ends,
        "version": Premises.objects.get().version,
        "events": Event.objects.filter(act="premises.saved").count(),
    }


def create() -> Any:
    """Several create a premises under one reference."""
    from sites.cases.models import Application
    from sites.premises.models import Premises
    from tests.sites.making import make_premises

    ends = _all_at_once(lambda number: str(make_premises(reference="One").premises))
    return {
        "ends": ends,
        "premises": Premises.objects.filter(reference="One").count(),
        "applications": Application.objects.filter(reference="One").count(),
    }


def keep() -> Any:
    """Several windows of one person keep the same page, while one of them ends it."""
    from sites.people.models import Person
    from sites.premises.models import Draft
    from sites.premises.writing.drafts import drop_draft, keep_draft

    person = Person.objects.order_by("pk")[0]

    def act(number: int) -> str:
        if number == 0:
            drop_draft(person=person, page="sheet/x", visit="ended")
            return "dropped"
        visit = "ended" if number == 1 else f"visit {number}"
        kept = keep_draft(
            person=person, page="sheet/x", content={"n": [str(number)]}, seen={}, visit=visit
        )
        return "kept" if kept else "late"

    ends = _all_at_once(act)
    return {"ends": ends, "drafts": Draft.objects.filter(page="sheet/x").count()}
