"""Premises with their parties, supply numbers and operator's caps."""

from django.db import models

from sites.house.models.base import Keyed, choices

NATIONS = choices("england", "wales", "scotland", "northern_ireland", "ireland")


class Premises(Keyed):
    """One premises. Every service that changes anything beneath it raises `version`."""

    version = models.PositiveIntegerField(default=1)
    reference = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=200, blank=True)
    address_lines = models.TextField(blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    nation = models.CharField(max_length=20, choices=NATIONS, blank=True)
    licence_area = models.CharField(max_length=20, blank=True)
    easting = models.PositiveIntegerField(null=True)
    northing = models.PositiveIntegerField(null=True)
    grid = models.CharField(max_length=10, choices=choices("osgb", "irish"), blank=True)
    metering = models.CharField(max_length=200, blank=True)
    feeder = models.CharField(max_length=200, blank=True)
    island = models.BooleanField(null=True)
    access = models.CharField(max_length=200, blank=True)
    owner_consent = models.BooleanField(null=True)
    planned_on = models.DateField(null=True)
    on_date = models.DateField(null=True)
    nearby_premises = models.PositiveIntegerField(null=True)
    nearby_asked = models.BooleanField(default=False)
    assessed_demand_va = models.PositiveBigIntegerField(null=True)
    loads_measured = models.BooleanField(null=True)
    assumed_voltage_mv = models.PositiveBigIntegerField(null=True)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("-changed_at", "-pk")

    def __str__(self) -> str:
        return self.reference


class Party(Keyed):
    """Customer, applicant or installer of one premises. Personal data."""

    premises = models.ForeignKey(Premises, on_delete=models.CASCADE, related_name="parties")
    part = models.CharField(max_length=20, choices=choices("customer", "applicant", "installer"))
    name = models.CharField(max_length=200, blank=True)
    role = models.CharField(max_length=200, blank=True)
    address_lines = models.TextField(blank=True)
    email = models.CharField(max_length=254, blank=True)
    phone = models.CharField(max_length=50, blank=True)
    registration = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("premises", "part"), name="party_once_for_premises"),
        )


class SupplyNumber(Keyed):
    """A supply number as typed."""

    premises = models.ForeignKey(Premises, on_delete=models.CASCADE, related_name="supply_numbers")
    use = models.CharField(max_length=10, choices=choices("import", "export"))
    scheme = models.CharField(max_length=10, default="gb13")
    value = models.CharField(max_length=60)

    class Meta:
        ordering = ("pk",)


class Cap(Keyed):
    """A cap that an operator answered with, in the operator's own unit."""

    premises = models.ForeignKey(Premises, on_delete=models.CASCADE, related_name="caps")
    on = models.CharField(max_length=10, choices=choices("export", "installed"))
    value = models.PositiveBigIntegerField()
    basis = models.CharField(max_length=20, choices=choices("ma_per_phase", "w_total", "va_total"))
    from_operator_reference = models.CharField(max_length=200, blank=True)
    until = models.DateField(null=True)
    split_equally = models.BooleanField(null=True)

    class Meta:
        ordering = ("pk",)
