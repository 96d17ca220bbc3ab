"""Keeps a quick look as a case: a premises, with a design for each way."""

from collections.abc import Mapping

from django.db import transaction
from msgspec import structs

from connections.facts.site import Site
from sites.cases.models import Case
from sites.designs.writing.altering import altered_copy
from sites.designs.writing.designs import choose_design
from sites.house.refusals import RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Design
from sites.premises.writing.importing import import_premises


@transaction.atomic
def keep_as_case(
    *, ways: Mapping[str, tuple[str, Site]], chosen: str, reference: str, by: Person
) -> Case:
    """Make a premises of the chosen way; each other way becomes a further design of it.

    `ways` gives the name and site of each way by its key. Raises RefusedError for a way that is not
    among them, and ReferenceTakenError if a premises has the reference already.
    """
    if chosen not in ways:
        raise RefusedError("Pick one of the ways to keep.", "way")
    name, site = ways[chosen]
    case = import_premises(structs.replace(site, reference=reference), by=by)
    for key, (other, its_site) in ways.items():
        if key != chosen:
            altered_copy(
                design=case.design,
                name=other,
                site=structs.replace(its_site, reference=reference),
                by=by,
            )
    Design.objects.filter(pk=case.design_id).exclude(name="").update(name=name)
    case.design.refresh_from_db()
    choose_design(design=case.design, by=by)
    record("quick-look.kept", by=by, subject=case.premises, data={"way": chosen})
    return case
