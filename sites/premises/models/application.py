"""Applications: requests of one pack for one or more premises."""

from django.db import models

from sites.house.models.base import Keyed


class Application(Keyed):
    """One case with a network operator. The reference and a revision name a pack."""

    # 2026-11-25: for now an application has one case and the reference of its premises. The tables
    # allow more cases; making a pack of them is refused with a message.
    reference = models.CharField(max_length=200, unique=True)
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.reference


class Case(Keyed):
    """A premises in an application, with the design that it asks for."""

    application = models.ForeignKey(Application, on_delete=models.CASCADE, related_name="cases")
    premises = models.ForeignKey("sites.Premises", on_delete=models.PROTECT, related_name="cases")
    design = models.ForeignKey("sites.Design", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("application", "premises"), name="case_premises_once"),
        )
