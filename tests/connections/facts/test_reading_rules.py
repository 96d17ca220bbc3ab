"""What a site file may not hold, and how the message says where it is and what to do."""

import copy
import json
from typing import Any

import pytest

from connections.facts.defaults import status_of
from connections.facts.reading import read_site, write_site
from connections.facts.site_file_error import SiteFileError
from tests.site_files import file, read, unit

NUMBER = "give a whole number or null for unknown, not "
FRACTION = "give a whole number in the unit that the name ends with"
TOO_LARGE = "the number must lie within 1000000000; check its unit"
NEGATIVE = "a negative number can't stand here"
NEEDED = "this is needed; give it"
UNKNOWN_KEY = "this key is not part of a site file; check its spelling or take it out"
DATE = "give a date as year-month-day, such as 2026-11-24"
DAY_OR_MONTH = f"{DATE}, or a month, such as 2026-11"

Path = tuple[str | int, ...]


def changed(path: Path, value: Any) -> dict[str, Any]:
    """A good site file with one value put at a path, objects and all."""
    content = copy.deepcopy(file(unit("a"), unit("b")))
    place: Any = content
    for step in path[:-1]:
        place = place.setdefault(step, {}) if isinstance(step, str) else place[step]
    place[path[-1]] = value
    return content


def without(path: Path) -> dict[str, Any]:
    content = copy.deepcopy(file(unit("a"), unit("b")))
    place: Any = content
    for step in path[:-1]:
        place = place[step]
    del place[path[-1]]
    return content


def fault_of(raw: str | bytes) -> tuple[str, str]:
    with pytest.raises(SiteFileError) as caught:
        read_site(raw)
    return caught.value.path, caught.value.message


RATED: Path = ("units", 1, "rated_w")

BAD_VALUES: list[tuple[Path, Any, str, str]] = [
    # Numbers: whole, not negative (q_var alone may be), at most 10^9.
    (RATED, -1, "units[1].rated_w", NEGATIVE),
    (RATED, 3680.5, "units[1].rated_w", FRACTION),
    (RATED, 3680.0, "units[1].rated_w", FRACTION),
    (RATED, 10**9 + 1, "units[1].rated_w", TOO_LARGE),
    (RATED, 10**30, "units[1].rated_w", TOO_LARGE),
    (RATED, "3680", "units[1].rated_w", NUMBER + "text"),
    (RATED, "3.68 kW", "units[1].rated_w", NUMBER + "text"),
    (RATED, True, "units[1].rated_w", NUMBER + "true or false"),
    (RATED, [3680], "units[1].rated_w", NUMBER + "a list"),
    (("units", 0, "q_var"), -(10**9) - 1, "units[0].q_var", TOO_LARGE),
    (("units", 0, "q_var"), 0.5, "units[0].q_var", FRACTION),
    (("nearby", "premises"), -1, "nearby.premises", NEGATIVE),
    (("supply", "cutout_a"), 62.5, "supply.cutout_a", FRACTION),
    (("limits",), {"export": {"value": -1, "basis": "w_total"}}, "limits.export.value", NEGATIVE),
    (("caps",), [{"on": "export", "value": -1, "basis": "w_total"}], "caps[0].value", NEGATIVE),
    # Unknown keys, wherever they stand.
    (("colour",), "red", "colour", UNKNOWN_KEY),
    (("supply", "cut_out_a"), 80, "supply.cut_out_a", UNKNOWN_KEY),
    (("units", 1, "rated_kw"), 4, "units[1].rated_kw", UNKNOWN_KEY),
    (("arrays",), [{"unit_id": "a", "kwp": 4}], "arrays[0].kwp", UNKNOWN_KEY),
    (("storage",), [{"unit_id": "a"}, {"unit_id": "b", "kwh": 4}], "storage[1].kwh", UNKNOWN_KEY),
    (("limits",), {"exports": None}, "limits.exports", UNKNOWN_KEY),
    (("limits",), {"export": {"value": 1, "basis": "w_total", "phase": 1}}, "limits.export.phase",
     UNKNOWN_KEY),
    (("parties",), {"customer": {"title": "Dr"}}, "parties.customer.title", UNKNOWN_KEY),
    (("protection",), [{"kind": "rcd", "settings": [{"function": "u", "value": 1, "unit": "V",
                                                     "delay": 1}]}],
     "protection[0].settings[0].delay", UNKNOWN_KEY),
    (("units", 1, "<b>"), 1, "units[1].<b>", UNKNOWN_KEY),
    # Words from closed lists.
    (("format",), "site/2", "format", "'site/2' is not one of: \"site/1\""),
    (("supply", "phases"), 4, "supply.phases", "4 is not one of: 1, 2 (split single-phase), 3"),
    (("units", 0, "phases"), ["L4"], "units[0].phases[0]", "'L4' is not one of: L1, L2, L3"),
    (("units", 0, "source"), "solar", "units[0].source",
     "'solar' is not one of: pv, storage, pv+storage, wind, hydro, chp, vehicle, other"),
    (("units", 0, "status"), "new", "units[0].status",
     "'new' is not one of: existing, proposed, removed"),
    (("units", 0, "kind"), "micro", "units[0].kind",
     "'micro' is not one of: inverter, synchronous, asynchronous"),
    (("units", 0, "type_tested"), "yes", "units[0].type_tested",
     "'yes' is not one of: full, part, no"),
    (("units", 0, "limited_by"), "user", "units[0].limited_by",
     "'user' is not one of: maker, software, none"),
    (("units", 0, "operating_mode"), "parallel", "units[0].operating_mode",
     "'parallel' is not one of: long-term-parallel, short-term-parallel, switched"),
    (("supply", "voltage_level"), "lv", "supply.voltage_level", "'lv' is not one of: LV, HV"),
    (("supply", "earthing"), "PME", "supply.earthing",
     "'PME' is not one of: TN-C-S, TN-S, TT, unknown"),
    (("premises", "nation"), "France", "premises.nation",
     "'France' is not one of: england, wales, scotland, northern_ireland, ireland"),
    (("limits",), {"import": {"value": 5, "basis": "amps"}}, "limits.import.basis",
     "'amps' is not one of: ma_per_phase, w_total, va_total"),
    (("caps",), [{"on": "demand", "value": 1, "basis": "w_total"}], "caps[0].on",
     "'demand' is not one of: export, installed"),
    (("nearby", "origin"), "guess", "nearby.origin", "'guess' is not one of: typed, found"),
    # Types.
    (("units", 0, "phases"), "L1", "units[0].phases", "give a list, not text"),
    (("units", 0, "can_island"), "no", "units[0].can_island",
     "give true or false or null for unknown, not text"),
    (("units", 0, "standard"), 98, "units[0].standard",
     "give text or null for unknown, not a whole number"),
    (("units", 0, "serials"), ["SN-1", 2], "units[0].serials[1]", "give text, not a whole number"),
    (("units", 0), "inverter", "units[0]", "give an object, not text"),
    (("supply", "phases"), None, "supply.phases", "give a whole number, not null"),
    (("supply",), [], "supply", "give an object, not a list"),
    (("parties",), {"customer": "Ann"}, "parties.customer",
     "give an object or null for unknown, not text"),
    (("cables",), [{"from": "a", "to": "b", "csa_mm2": 2.5}], "cables[0].csa_mm2",
     "give text or null for unknown, not a fraction"),
    # Lists and text: enough, and not too much.
    (("units",), [], "units", "at least 1 entry is needed"),
    (("units", 0, "phases"), [], "units[0].phases", "at least 1 entry is needed"),
    (("reference",), "", "reference", "at least 1 character is needed"),
    (("reference",), "   ", "reference", "this may not be empty"),
    (("reference",), "x" * 201, "reference", "this is longer than 200; shorten it"),
    # What the types alone can't say.
    (("units", 1, "id"), "a", "units[1].id", '"a" stands twice; give each unit its own id'),
    (("clamps",), [{"id": "ct-1"}, {"id": "ct-1"}], "clamps[1].id",
     '"ct-1" stands twice; give it once'),
    (("clamps",), [{"id": "ct-1", "phase": "N"}], "clamps[0].phase",
     "'N' is not one of: L1, L2, L3"),
    (("units", 0, "phases"), ["L1", "L1"], "units[0].phases",
     "a phase stands twice; name each once"),
    (("units", 0, "dc_inputs"), [{"tracker": 1}, {"tracker": 1}], "units[0].dc_inputs[1].tracker",
     '"1" stands twice; give it once'),
    (("units", 0, "dc_inputs"), [{"max_mv": 600_000}], "units[0].dc_inputs[0].tracker", NEEDED),
    (("units", 0, "dc_inputs"), [{"tracker": 1, "max_mv": -1}], "units[0].dc_inputs[0].max_mv",
     NEGATIVE),
    (("arrays",), [{"unit_id": "a", "strings": -1}], "arrays[0].strings", NEGATIVE),
    (("arrays",), [{"unit_id": "a", "strings": [{"series": 9}]}], "arrays[0].strings[0].series",
     UNKNOWN_KEY),
    (("arrays",), [{"unit_id": "a", "panel": {"voc_mv": -1}}], "arrays[0].panel.voc_mv", NEGATIVE),
    # Dates.
    (("on_date",), "24/11/2026", "on_date", DATE),
    (("on_date",), "2026-02-30", "on_date", DATE),
    (("on_date",), "2026-11-24T10:00:00", "on_date", DATE),
    (("on_date",), 20261124, "on_date", DATE),
    (("on_date",), None, "on_date", DATE),
    (("units", 0, "planned_on"), "spring", "units[0].planned_on", DATE),
    (("units", 0, "planned_on"), "2027-01", "units[0].planned_on", DATE),
    # Days or months; the calendar has neither these days nor these months.
    (("units", 0, "commissioned_on"), "2016", "units[0].commissioned_on", DAY_OR_MONTH),
    (("units", 0, "commissioned_on"), "2016-13", "units[0].commissioned_on", DAY_OR_MONTH),
    (("units", 0, "commissioned_on"), "2016-02-30", "units[0].commissioned_on", DAY_OR_MONTH),
    (("units", 0, "commissioned_on"), "2016-06\n", "units[0].commissioned_on", DAY_OR_MONTH),
    (("units", 0, "commissioned_on"), "0000-06", "units[0].commissioned_on", DAY_OR_MONTH),
    (("arrays",), [{"unit_id": "a", "commissioned_on": "06/2016"}], "arrays[0].commissioned_on",
     DAY_OR_MONTH),
    (("storage",), [{"unit_id": "a", "commissioned_on": "2016-00"}], "storage[0].commissioned_on",
     DAY_OR_MONTH),
    (("units", 0, "commissioned_on"), 2016, "units[0].commissioned_on", DAY_OR_MONTH),
    (("limits",), {"export": {"value": 1, "basis": "w_total", "commissioned_on": "2016-06"}},
     "limits.export.commissioned_on", DATE),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "where", "message"), BAD_VALUES)
def test_a_bad_value_names_its_place_and_what_to_do(path, value, where, message):
    assert fault_of(json.dumps(changed(path, value))) == (where, message)


REQUIRED: list[tuple[Path, str]] = [
    (("format",), "format"),
    (("reference",), "reference"),
    (("on_date",), "on_date"),
    (("supply",), "supply"),
    (("supply", "phases"), "supply.phases"),
    (("units",), "units"),
    (("units", 1, "id"), "units[1].id"),
    (("units", 1, "source"), "units[1].source"),
    (("units", 1, "rated_w"), "units[1].rated_w"),
    (("units", 1, "phases"), "units[1].phases"),
]


@pytest.mark.parametrize(("path", "where"), REQUIRED)
def test_what_is_required_is_missed(path, where):
    assert fault_of(json.dumps(without(path))) == (where, NEEDED)


def test_nothing_else_is_required():
    content = {
        "format": "site/1",
        "reference": "T-1",
        "on_date": "2026-11-24",
        "supply": {"phases": 1},
        "units": [{"id": "a", "source": "pv", "rated_w": None, "phases": ["L1"]}],
    }
    assert read(content).units[0].rated_w is None


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (RATED, 10**9),
        (RATED, 0),  # unknown, not a fault
        (("units", 0, "q_var"), -1149),
        (("arrays",), [{"unit_id": "a", "panel": {"voc_ppm_k": -2700, "isc_ppm_k": 500}}]),
        (("arrays",), [{"unit_id": "a", "strings": 2}]),
        (("arrays",), [{"unit_id": "a", "strings": [{"in_series": 11, "in_parallel": None}]}]),
        (("units", 0, "q_var"), -(10**9)),
        (("nearby", "premises"), 0),
        (("supply", "export_capacity_va"), 0),
        (("units", 0, "planned_on"), "2027-01-18"),
    ],
)
def test_good_values_are_read(path, value):
    assert read(changed(path, value)).reference


@pytest.mark.parametrize("status", ["existing", "removed", "proposed", None])
@pytest.mark.parametrize("when", ["2020-02-29", "2020-02"])
def test_any_unit_may_have_a_commissioning_date(status, when):
    """Source: the format's reading rules; a proposed one is commissioned and not yet confirmed."""
    site = read(file(unit(status=status, commissioned_on=when)))
    assert site.units[0].commissioned_on == when
    assert read(json.loads(write_site(site))) == site


def test_a_proposed_unit_with_a_commissioning_date_counts_as_proposed():
    assert status_of(read(file(unit(commissioned_on="2020-01-01"))).units[0]) == "proposed"


GOOD = json.dumps(file())

NOT_A_FILE: list[tuple[str | bytes, str]] = [
    ("", "this is not valid JSON: "),
    ("{", "this is not valid JSON: "),
    (GOOD[:-1], "this is not valid JSON: "),
    (GOOD.replace("3680", "NaN"), "this is not valid JSON: "),
    (GOOD.replace("3680", "Infinity"), "this is not valid JSON: "),
    (b"\xff\xfe", "this is not valid JSON: "),
    (GOOD.encode().replace(b"T-1", b"T-\xff"), "this is not valid JSON: "),
    (GOOD.replace("T-1", "\\ud800"), "this is not valid JSON: "),
    ("[]", "give an object, not a list"),
    ("null", "give an object, not null"),
    ("3680", "give an object, not a whole number"),
    ("[" * 100_000, "give an object, not a list"),
    ('{"parties":' * 100_000, UNKNOWN_KEY),
    (" " * 2_000_001, "the file is larger than 2000000 bytes"),
]


@pytest.mark.parametrize("number", range(len(NOT_A_FILE)))
def test_what_is_no_site_file_is_said_in_one_line(number):
    raw, begins = NOT_A_FILE[number]
    _, message = fault_of(raw)
    assert message.startswith(begins)
    assert "\n" not in message


def test_a_byte_order_mark_is_no_part_of_the_file():
    plain = json.dumps(file()).encode()
    assert read_site(b"\xef\xbb\xbf" + plain) == read_site(plain)
    assert read_site("\ufeff" + plain.decode()) == read_site(plain)
    with pytest.raises(SiteFileError, match="not valid JSON"):
        read_site(b"\xef\xbb\xbf" * 2 + plain)


@pytest.mark.parametrize(
    ("once", "twice", "where"),
    [
        ('"phases": 1', '"phases": 3, "phases": 1', "supply.phases"),
        ('"id": "a"', '"id": "a", "id": "b"', "units[1].id"),
        # The same key, once by an escape: RFC 8259, section 8.3.
        ('"format"', '"f\\u006frmat": "site/1", "format"', "format"),
    ],
)
def test_a_key_that_stands_twice_is_refused_with_its_place(once, twice, where):
    content = {**file(), "supply": {"phases": 1}, "units": [unit("z"), unit("a")]}
    plain = json.dumps(content)
    read_site(plain)
    with pytest.raises(SiteFileError, match="stands twice here") as fault:
        read_site(plain.replace(once, twice, 1))
    assert fault.value.path == where
