"""The firm's own equipment catalogue: the models that it fits, as their data sheets say."""

import datetime as dt
from typing import Any

from django.db import models

from sites.house.models.base import Keyed


def _text_of(name: str) -> Any:
    """A text of the first certificate."""
    return property(lambda row: row.first(name) or "", lambda row, value: row.say(name, value))


class Certified(models.Model):
    """Has type-test certificates, each as in the site file; the first has boxes of its own."""

    standards = models.JSONField(null=True)

    class Meta:
        abstract = True

    def first(self, name: str) -> Any:
        """Return a fact of the first certificate; None where it is not known."""
        return (self.standards or [{}])[0].get(name)

    def say(self, name: str, value: Any) -> None:
        """Set a fact of the first certificate; empty or None where it is not known."""
        first, *further = self.standards or [{}]
        said = {**first, name: value}
        self._put(
            [{key: known for key, known in said.items() if known not in (None, "")}, *further]
        )

    def _put(self, entries: list[dict[str, Any]]) -> None:
        self.standards = entries if any(entries) else None

    type_tested = _text_of("type_tested")
    standard = _text_of("standard")
    type_test_reference = _text_of("reference")

    @property
    def certificate_rated_w(self) -> int | None:
        """The rating that the first certificate is for."""
        rated: int | None = self.first("rated_w")
        return rated

    @certificate_rated_w.setter
    def certificate_rated_w(self, value: int | None) -> None:
        self.say("rated_w", value)

    @property
    def certificate_until(self) -> dt.date | None:
        """The last day of the first certificate."""
        until = self.first("valid_until")
        return dt.date.fromisoformat(until) if until else None

    @certificate_until.setter
    def certificate_until(self, value: dt.date | None) -> None:
        self.say("valid_until", value.isoformat() if value else None)

    @property
    def further_certificates(self) -> list[dict[str, Any]]:
        """All certificates but the first."""
        return list(self.standards or ())[1:]

    @further_certificates.setter
    def further_certificates(self, value: list[dict[str, Any]]) -> None:
        first = (self.standards or [{}])[0]
        self._put([first, *value])


class Equipment(Certified, Keyed):
    """A model of inverter that the firm fits; the values are copied into a unit when chosen."""

    maker = models.CharField(max_length=200)
    model = models.CharField(max_length=200)
    source = models.CharField(max_length=20)
    rated_w = models.PositiveBigIntegerField(null=True)
    design_w = models.PositiveBigIntegerField(null=True)
    rated_va = models.PositiveBigIntegerField(null=True)
    rated_ma = models.PositiveBigIntegerField(null=True)
    phases = models.PositiveSmallIntegerField(default=1)
    can_island = models.BooleanField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("maker", "model"), name="equipment_model_once"),
        )

    def __str__(self) -> str:
        """Maker and model."""
        return f"{self.maker} {self.model}"
