"""Scripts that tests of issuing run in processes of their own, with `own_database`."""

import threading
from typing import Any


def save_while_issuing(what: str) -> dict[str, Any]:
    """Save the premises or its design between the check of a pack and its freezing.

    Returns whether the save was through before the pack was frozen, whether it was through in the
    end, and how the issuing ended.
    """
    from django.db import connection
    from django.db.models import F

    from sites.cases.models import Case
    from sites.packs.writing import issuing
    from sites.people.models import Person
    from sites.premises.models import Design, Premises
    from tests.sites.review.making import preview_of

    case = Case.objects.select_related("application", "premises", "design").get()
    engineer = Person.objects.order_by("pk").first()
    assert engineer is not None
    seen = preview_of(case)
    checked, saved = threading.Event(), threading.Event()
    found: dict[str, Any] = {}
    freeze = vars(issuing)["_freeze"]

    def slowly(*made: Any) -> Any:
        checked.set()
        found["between"] = saved.wait(1.5)
        return freeze(*made)

    def save() -> None:
        checked.wait(60)
        if what == "premises":
            Premises.objects.filter(pk=case.premises_id).update(version=F("version") + 1)
        else:
            Design.objects.filter(pk=case.design_id).update(version=F("version") + 1)
        saved.set()
        connection.close()

    vars(issuing)["_freeze"] = slowly
    other = threading.Thread(target=save)
    other.start()
    pack = issuing.issue_pack(
        application=case.application, seen=seen, declaration=None, by=engineer
    )
    other.join(60)
    return {**found, "saved": saved.is_set(), "issued": pack.revision}
