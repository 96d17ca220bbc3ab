"""The firm's own equipment catalogue, for the search for remedies."""

from msgspec import convert

from connections.facts.site import Certificate
from connections.remedies.option import Model
from sites.catalogue.models import Equipment


def catalogue() -> tuple[Model, ...]:
    """Every inverter of the catalogue whose rating is known."""
    return tuple(
        Model(
            name=f"{row.maker} {row.model}",
            source=row.source,  # type: ignore[arg-type]  # a choice of the model
            rated_w=row.rated_w,
            phases=row.phases,
            design_w=row.design_w,
            standards=convert(row.standards or (), tuple[Certificate, ...]),
        )
        for row in Equipment.objects.order_by("maker", "model")
        if row.rated_w
    )
