"""Premises with their application: what the browser and the demo create and save."""

from django.db import IntegrityError, transaction

from connections.facts.site import Site
from sites.designs.writing import designs as sites_designs
from sites.people.models import Person
from sites.premises.models import Application, ApplicationLine, Design
from sites.premises.reading.site_rows import SiteRows
from sites.premises.refusals import ReferenceTakenError
from sites.premises.writing import sheet as sites_premises
from sites.premises.writing.importing import rows_from_site
from sites.premises.writing.sheet import Seen


@transaction.atomic
def create_premises(*, rows: SiteRows, by: Person | None) -> ApplicationLine:
    """Create a premises, its first design, its application (same reference) and the one line.

    Raises ReferenceTakenError where another premises or application has the reference.
    """
    design = sites_premises.create_premises(rows=rows, by=by)
    reference = design.premises.reference
    try:
        with transaction.atomic():
            application = Application.objects.create(reference=reference)
    except IntegrityError:
        raise ReferenceTakenError(reference) from None
    return ApplicationLine.objects.create(
        application=application, premises=design.premises, design=design
    )


def import_premises(site: Site, *, by: Person | None) -> ApplicationLine:
    """Create a premises with its application from the facts of a site file.

    Raises ReferenceTakenError where another premises or application has the reference.
    """
    return create_premises(rows=rows_from_site(site), by=by)


@transaction.atomic
def save_sheet(*, design: Design, rows: SiteRows, seen: Seen, by: Person | None) -> list[str]:
    """Save the sheet of a design; an application that has issued nothing takes a new reference.

    Returns the names of the fields that changed. Raises StaleSheetError and ReferenceTakenError.
    """
    before = design.premises.reference
    changes = sites_premises.save_sheet(design=design, rows=rows, seen=seen, by=by)
    after = rows.premises.reference
    if after != before:
        unissued = Application.objects.filter(
            reference=before, lines__premises=design.premises, packs__isnull=True
        )
        try:
            with transaction.atomic():
                unissued.update(reference=after)
        except IntegrityError:
            raise ReferenceTakenError(after) from None
    return changes


@transaction.atomic
def choose_design(*, design: Design, by: Person | None) -> None:
    """Make a design the proposal of its premises, and the one that its application asks for."""
    sites_designs.choose_design(design=design, by=by)
    ApplicationLine.objects.filter(premises=design.premises).update(design=design)
