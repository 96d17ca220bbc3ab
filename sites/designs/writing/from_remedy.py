"""Turns a remedy into a design of the premises."""

from django.db import transaction

from connections.facts.reading import site_of
from connections.remedies.applying import applied
from sites.deciding.reading.deciding import decide_rows
from sites.deciding.reading.remedies import remedy_mark
from sites.designs.writing.altering import altered_copy
from sites.designs.writing.designs import free_name
from sites.house.refusals import FactsChangedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Design
from sites.premises.reading.site_rows import plain_from, rows_for


@transaction.atomic
def design_from_remedy(*, design: Design, mark: str, by: Person, name: str = "") -> Design:
    """Copy a design and apply one of its remedies.

    Without `name` the copy is named after the change.

    Searches the remedies again. Raises FactsChangedError if none has this mark any more, and
    NameTakenError if another design has the name.
    """
    premises = type(design.premises).objects.select_for_update().get(pk=design.premises_id)
    rows = rows_for(premises, design)
    decision = decide_rows(rows, remedies=True).decision
    found = next(
        (
            remedy
            for remedy in (decision.remedies if decision is not None else ())
            if remedy.change and remedy_mark(remedy) == mark
        ),
        None,
    )
    if found is None:
        raise FactsChangedError(
            "This is no longer what would help: the facts or the rules have changed. Look at the "
            "premises again."
        )
    changed = site_of(applied(plain_from(rows), found.change))
    name = name or free_name(premises, found.name)
    made = altered_copy(design=design, name=name, site=changed, by=by)
    record(
        "design.from-remedy",
        by=by,
        subject=made.premises,
        data={"from": str(design.key), "to": str(made.key), "remedy": found.kind},
    )
    return made
