"""Site-file paths in words: "units[1].rated_w" is "the registered capacity of bat-1"."""

import re

from connections.facts.site import Site

_INDEXED = re.compile(r"^(units|arrays|storage)\[(\d+)\]\.(\w+)$")
_UNIT = {
    "rated_w": "registered capacity",
    "rated_va": "apparent power",
    "rated_ma": "declared output current",
    "design_w": "design capacity",
    "quantity": "number",
    "phases": "phases",
    "status": "status (existing, proposed or removed)",
    "kind": "kind (inverter, synchronous or asynchronous)",
    "source": "energy source",
    "type_tested": "type-test standing",
    "standard": "standard tested to",
    "type_test_reference": "type-test reference",
    "commissioned_on": "commissioning date",
    "planned_on": "planned date",
    "limited_by": "means of limiting",
    "can_island": "ability to run as an island",
    "operating_mode": "operating mode",
    "q_var": "reactive power",
    "emission_standards": "standards on harmonics and flicker",
    "max_impedance_uohm": "largest supply impedance",
    "dc_input_w": "largest input from panels",
}
_PART = {
    "unit_id": "inverter",
    "peak_w": "peak power",
    "azimuth_deg": "azimuth",
    "tilt_deg": "tilt",
    "usable_wh": "usable energy",
    "charge_w": "charging power",
    "discharge_w": "discharging power",
    "charges_from_grid": "charging from the network",
    "exports": "export",
}
_PLAIN = {
    "supply.voltage_level": "the voltage level of the supply",
    "supply.nominal_v": "the nominal voltage",
    "supply.phases": "the phases of the supply",
    "supply.now_phases": "the phases that the supply has now",
    "supply.cutout_a": "the rating of the cut-out",
    "supply.earthing": "the earthing arrangement",
    "supply.looped": "whether the service is looped",
    "nearby.premises": "the firm's other premises near by",
    "limits.export": "the export limit",
    "limits.import": "the import limit",
    "premises.licence_area": "the licence area",
    "supply.loop_impedance_uohm": "the loop impedance of the supply",
    "supply.prospective_fault_a": "the prospective fault current of the supply",
    "loads.assessed_demand_va": "the assessed demand",
    "network.assumed_voltage_mv": "the voltage that the network is assumed to have",
    "premises.feeder": "the feeder",
    "premises.postcode": "the postcode",
}


def words_for(path: str, site: Site) -> str:
    """What a path stands for, in words; the path itself where it has none."""
    found = _INDEXED.match(path)
    if found is None:
        return _PLAIN.get(path, path)
    group, index, name = found[1], int(found[2]), found[3]
    if group == "units" and index < len(site.units):
        return f"the {_UNIT.get(name, name.replace('_', ' '))} of {site.units[index].id}"
    parts = site.arrays if group == "arrays" else site.storage
    if index < len(parts):
        what = "panels" if group == "arrays" else "cells"
        fact = _PART.get(name, name.replace("_", " "))
        return f"the {fact} of the {what} behind {parts[index].unit_id}"
    return path
