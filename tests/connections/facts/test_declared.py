"""Every fact is declared once: with a label, a sentence, and its unit where it has one."""

import inspect
import re

import pytest
from msgspec import UNSET, Struct

from connections.facts import site as types
from connections.facts.declaring import declared
from connections.facts.schema import SCHEMAS
from connections.rulebook.quantities import WHOLE_UNITS

PARTS = [
    kind
    for _name, kind in inspect.getmembers(types, inspect.isclass)
    if issubclass(kind, Struct) and kind.__module__ == types.__name__ and kind.__struct_fields__
]
FACTS = [(kind, name) for kind in PARTS for name in kind.__struct_fields__]
PROPERTIES = [
    (which, part, name, says)
    for which, schema in SCHEMAS.items()
    for part, found in schema()["$defs"].items()
    for name, says in found["properties"].items()
]
ENDINGS = {
    "w": ("W", "Wp"),
    "va": ("VA",),
    "ma": ("mA",),
    "var": ("var",),
    "wh": ("Wh",),
    "ms": ("ms",),
    "mm": ("mm",),
    "mm2": ("mm²",),
    "mv": ("mV",),
    "uohm": ("uohm",),
    "a": ("A",),
    "v": ("V",),
    "c": ("celsius",),
    "deg": ("degrees",),
    "k": ("ppm/K",),
}
"""The unit that the end of a fact's name stands for."""


def named(given):
    kind, name = given
    return f"{kind.__name__}.{name}"


@pytest.mark.parametrize("property", PROPERTIES, ids=lambda found: ".".join(found[:3]))
def test_every_property_of_a_schema_has_a_title_and_a_sentence(property):
    _which, _part, _name, says = property
    assert says["title"][0].isupper()
    assert not says["title"].endswith(".")
    sentence = says["description"]
    assert sentence[0].isupper() or sentence.startswith('"')
    assert sentence.endswith(".")
    assert len(sentence.split()) <= 20, sentence
    assert sentence.rstrip(".") != says["title"]


@pytest.mark.parametrize("which", SCHEMAS)
def test_a_schema_has_a_name_of_its_own(which):
    assert SCHEMAS[which]()["$id"] == f"urn:meterside:{which}/1"


@pytest.mark.parametrize("given", FACTS, ids=named)
def test_every_fact_is_declared(given):
    kind, name = given
    fact = declared(kind)[name]
    # Labels stand at boxes on a phone of 320 px.
    assert len(fact.label) <= 42, fact.label
    assert fact.noun
    assert not fact.noun.endswith(".")
    assert len({heading.casefold() for heading in (*fact.headings, fact.label)}) == 1 + len(
        fact.headings
    )
    if fact.band is not None:
        assert fact.band[0] < fact.band[1] <= types.LARGEST
    if fact.default is not UNSET:
        assert fact.assumed


@pytest.mark.parametrize("given", FACTS, ids=named)
def test_the_unit_of_a_fact_is_what_its_name_ends_with(given):
    kind, name = given
    unit = declared(kind)[name].unit
    ending = name.rpartition("_")[2]
    if "_" in name or name in ("w",):
        assert unit in ENDINGS.get(ending, ("",)), unit
    assert unit in ("", "m", "mm²", *WHOLE_UNITS)


def test_a_label_stands_for_one_thing_in_its_part():
    for kind in PARTS:
        labels = [fact.label for fact in declared(kind).values()]
        assert sorted(set(labels)) == sorted(labels), kind.__name__


def test_what_names_or_reaches_a_person_is_marked():
    """From the design: parties, and what names or finds the premises."""
    personal = {f"{kind.__name__}.{name}" for kind, name in FACTS if declared(kind)[name].personal}
    assert {name for name in personal if name.startswith("Party.")} == {
        f"Party.{name}" for name in types.Party.__struct_fields__
    }
    for name in ("name", "address_lines", "postcode", "easting", "northing", "supply_numbers"):
        assert f"Premises.{name}" in personal
    assert not {name for name in personal if re.match("Unit|Supply[.]|Limit|Cable", name)}
