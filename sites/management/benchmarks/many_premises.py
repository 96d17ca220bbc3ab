"""Make thousands of premises for measuring, as copies of existing ones in bulk."""

import itertools
import uuid
from collections.abc import Iterator
from typing import TypeVar

from django.db import models

from sites.cases.models import Application, Case
from sites.premises.models import (
    Cap,
    Design,
    Party,
    Premises,
    Supply,
    SupplyNumber,
    Unit,
)
from sites.premises.reading.site_rows import PLANT

SIZES = 40
"""Number of sizes of units of one kind."""


def copy_premises(wanted: int) -> None:
    """Copy premises, with all their rows and applications, until there are `wanted` of them.

    Each has one design and one application case. References get a number, and registered capacities
    differ by some watts, so that sites are alike but not the same.
    """
    cases = list(Case.objects.select_related("application", "premises", "design"))
    originals = list(itertools.islice(itertools.cycle(cases), wanted - len(cases)))
    premises = [
        _copy(case.premises, reference=f"{case.premises.reference} ({number})", on_date=None)
        for number, case in enumerate(originals)
    ]
    Premises.objects.bulk_create(premises, batch_size=500)
    designs = [
        _copy(case.design, premises=there) for case, there in zip(originals, premises, strict=True)
    ]
    Design.objects.bulk_create(designs, batch_size=500)
    applications = [
        _copy(case.application, reference=each.reference)
        for case, each in zip(originals, premises, strict=True)
    ]
    Application.objects.bulk_create(applications, batch_size=500)
    Case.objects.bulk_create(
        (
            _copy(case, application=application, premises=there, design=design)
            for case, application, there, design in zip(
                originals, applications, premises, designs, strict=True
            )
        ),
        batch_size=500,
    )
    kinds: tuple[type[models.Model], ...] = (Party, SupplyNumber, Cap, Supply, *PLANT.values())
    for kind in kinds:
        kind._default_manager.bulk_create(
            _copies(kind, originals, premises, designs), batch_size=500
        )


_Row = TypeVar("_Row", bound=models.Model)


def _copies(
    kind: type[models.Model],
    originals: list[Case],
    premises: list[Premises],
    designs: list[Design],
) -> Iterator[models.Model]:
    rows: dict[int, list[models.Model]] = {}
    for row in kind._default_manager.filter(premises__in={case.premises_id for case in originals}):
        rows.setdefault(row.serializable_value("premises"), []).append(row)
    for number, (case, there, design) in enumerate(zip(originals, premises, designs, strict=True)):
        for row in rows.get(case.premises_id, ()):
            changes: dict[str, object] = {"premises": there}
            if getattr(row, "design_id", None) is not None:
                changes["design"] = design
            if isinstance(row, Unit) and row.rated_w:
                changes["rated_w"] = row.rated_w - number % SIZES
            yield _copy(row, **changes)


def _copy(row: _Row, **changes: object) -> _Row:
    """A new row like another, with a key of its own."""
    values = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    del values["id"]
    if "key" in values:
        values["key"] = uuid.uuid4()
    for name in changes:
        values.pop(f"{name}_id", None)
    return type(row)(**{**values, **changes})
