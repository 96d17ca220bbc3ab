"""An invented price list for tests."""

import datetime as dt

from sites.house.models import Work
from sites.house.models.work import YEAR
from sites.house.writing.working_out import work_out
from sites.prices.models import Price, VatRate

FIRST = dt.date(2026, 1, 1)


def price(**changes):
    """A price, not saved."""
    plain = {"kind": "labour", "label": "Day of labour", "minor": 500_00, "vat": "standard",
             "usual": 200, "starts": FIRST, "source": "INVENTED/1"}  # fmt: skip
    return Price(**{**plain, **changes})


def rate(**changes):
    """A rate of VAT, not saved."""
    plain = {"vat": "standard", "rate": 2_000, "starts": FIRST, "source": "INVENTED/2"}
    return VatRate(**{**plain, **changes})


def make_prices():
    """Prices of inverters, a battery, panels and labour; all others are missing."""
    from sites.prices.writing import enter_price, enter_vat

    enter_vat(wanted=rate(), by=None)
    for kind, label, size, minor in (
        ("pv-inverter", "Inverter", 20_000, 900_00),
        ("battery-inverter", "Battery inverter", 20_000, 1_000_00),
        ("hybrid-inverter", "Hybrid inverter", 20_000, 1_500_00),
        ("battery", "Battery", 50_000, 2_500_00),
        ("panel", "Panel", 430, 150_00),
    ):
        enter_price(wanted=price(kind=kind, label=label, size=size, minor=minor), by=None)
    enter_price(wanted=price(), by=None)


def work_out_years(case):
    """The years of its designs, as by a worker."""
    for row in Work.objects.filter(kind=YEAR, design__premises=case.premises, done_at=None):
        work_out(str(row.key), row.digest)
