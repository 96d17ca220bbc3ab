"""The invented price list of the demonstration."""

import datetime as dt

from sites.prices.models import Price, VatRate
from sites.prices.writing import enter_price, enter_vat

FROM = dt.date(2026, 11, 1)
SOURCE = "invented price list of Harrow Lane Solar, 1 November 2026"
_RATES = (("standard", 2000), ("reduced", 500), ("zero", 0))
_VAT_SOURCE = "from memory, for the demonstration; read the notice before use"

_DEVICES = (
    ("pv-inverter", "Micro-inverter", 450, 118_00),
    ("pv-inverter", "Inverter of panels, up to 3.68 kW", 3_680, 690_00),
    ("pv-inverter", "Inverter of panels, up to 6 kW", 6_000, 980_00),
    ("pv-inverter", "Inverter of panels, up to 12 kW", 12_000, 1_640_00),
    ("battery-inverter", "Battery inverter, up to 3.68 kW", 3_680, 1_040_00),
    ("battery-inverter", "Battery inverter, up to 6 kW", 6_000, 1_390_00),
    ("hybrid-inverter", "Hybrid inverter, up to 3.68 kW", 3_680, 1_260_00),
    ("hybrid-inverter", "Hybrid inverter, up to 6 kW", 6_000, 1_580_00),
    ("hybrid-inverter", "Hybrid inverter, up to 12 kW", 12_000, 2_450_00),
    ("battery", "Battery, up to 5 kWh", 5_000, 1_480_00),
    ("battery", "Battery, up to 10 kWh", 10_000, 2_690_00),
    ("battery", "Battery, up to 15 kWh", 15_000, 3_820_00),
    ("panel", "Panel of 430 Wp, with its rails", 430, 164_00),
)
_MODELS = (("H3.6", 1_290_00), ("H5", 1_610_00), ("H10 three-phase", 2_520_00))
_OTHERS = (
    ("limiter", "Export limitation scheme", 0, 310_00, "zero"),
    ("cable", "Cable, with clips and glands", 18_00, 6_40, "zero"),
    ("labour", "Day of labour, two fitters", 2_00, 540_00, "zero"),
    ("scaffold", "Scaffold, one face", 1_00, 680_00, "zero"),
    ("operator-fee", "Network operator’s fee for an application", 1_00, 250_00, "outside"),
    ("inspection-fee", "Inspection and certificate", 1_00, 95_00, "standard"),
)


def enter_demo_prices(maker: str) -> None:
    """Enter the price list and rates of VAT, unless the firm has any."""
    if Price.objects.exists():
        return
    for vat, rate in _RATES:
        enter_vat(wanted=VatRate(vat=vat, rate=rate, starts=FROM, source=_VAT_SOURCE), by=None)
    rows = [
        *(Price(kind=k, label=n, size=s, minor=m, vat="zero") for k, n, s, m in _DEVICES),
        *(
            Price(
                kind="hybrid-inverter", label=f"Hybrid inverter {model}", maker=maker, model=model,
                minor=minor, vat="zero",
            )
            for model, minor in _MODELS
        ),
        *(Price(kind=k, label=n, usual=u, minor=m, vat=v) for k, n, u, m, v in _OTHERS),
    ]  # fmt: skip
    for row in rows:
        row.starts, row.source = FROM, SOURCE
        enter_price(wanted=row, by=None)
