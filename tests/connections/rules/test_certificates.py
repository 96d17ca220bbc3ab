"""Several certificates of a unit: which of them count, and what is told of those that do not.

Expected from the format of the site file ("standards"): an entry counts where it is for the unit's
rating and holds on the unit's date; any one that counts will do. 3.68 kW at 230 V is 16 A.
"""

import json
from typing import Any

import pytest

from connections.facts.reading import read_site, write_site
from connections.facts.site_file_error import SiteFileError
from connections.rules.plant import standard_of
from tests.site_files import ALL, decided, decision, file, found, procedure, read, unit

G98 = {"standard": "G98", "reference": "invented 1", "type_tested": "full"}
G99 = {"standard": "G99", "reference": "invented 2", "type_tested": "full"}


def with_list(*standards: dict[str, Any], rated_w: int | None = 3680, **facts: Any) -> Any:
    """A unit whose certificates are given as a list."""
    made = unit("a", rated_w, **facts)
    for name in ("standard", "type_tested", "type_test_reference"):
        del made[name]
    return {**made, "standards": list(standards)}


def test_the_old_way_is_read_as_one_entry_and_written_as_the_list():
    old = read(file(unit("a", type_test_reference="invented 1")))
    assert old == read(file(with_list(G98)))
    written = json.loads(write_site(old))["units"][0]
    assert written["standards"] == [G98]
    assert not {"standard", "type_tested", "type_test_reference"} & set(written)


def test_the_old_way_without_a_word_is_no_entry():
    nothing = dict.fromkeys(("standard", "type_tested", "type_test_reference"))
    assert "standards" not in json.loads(write_site(read(file({**unit("a"), **nothing}))))


@pytest.mark.parametrize("name", ["standard", "type_tested", "type_test_reference"])
@pytest.mark.parametrize("listed", [[], [G98], None])
def test_both_ways_are_an_error_that_names_the_path(name, listed):
    both = {**with_list(), "standards": listed, name: unit("a")[name]}
    with pytest.raises(SiteFileError) as refused:
        read_site(json.dumps(file(unit("b"), both)))
    assert refused.value.path == "units[1].standards"
    assert "keep the list" in refused.value.message


def test_g98_written_second_counts_as_g98_written_first():
    for listed in ((G98, G99), (G99, G98)):
        answer = decided(with_list(*listed))
        assert answer.procedure == "g98-single"
        assert standard_of(read(file(with_list(*listed))).units[0]) == "G98"
    # Beside it: without G98 the same plant is a small generation installation.
    assert procedure(with_list(G99)) == "sgi-1"


def test_full_and_accepted_must_be_one_certificate():
    # Partly tested to G98, fully to G99: no single entry is full and to G98.
    part = {**G98, "type_tested": "part"}
    assert procedure(with_list(part, G99)) == "sgi-1"
    assert found(decided(with_list(part, G99)), "not-type-tested") == []
    assert found(decided(with_list(part)), "not-type-tested") == [("decide", "a")]


@pytest.mark.parametrize(
    ("for_w", "counts"), [(None, True), (0, True), (3680, True), (3679, False), (5000, False)]
)
def test_an_entry_for_another_rating_does_not_count(for_w, counts):
    answer = decided(with_list({**G98, "rated_w": for_w}))
    assert answer.procedure == ("g98-single" if counts else "g99-short")
    assert found(answer, "certificate-rating") == ([] if counts else [("decide", "a/1")])
    # Said once: the certificate is there, so nobody is asked whether the unit is tested.
    assert found(answer, "not-type-tested") == []


def test_the_entry_for_this_rating_counts_beside_one_for_another():
    answer = decision(with_list({**G98, "rated_w": 5000}, {**G98, "rated_w": 3680}))
    assert answer.procedure.key == "g98-single"
    [told] = [f for f in answer.findings if f.id == "certificate-rating"]
    assert told.subject == "a/1"
    assert "is for 5 kW, and the unit has 3.68 kW; it does not count" in told.sentence
    assert "units[0].standards[0].rated_w" in told.facts
    assert "read as not type tested" not in told.workings


def test_an_unknown_rating_leaves_a_site_open_only_where_it_could_settle_it():
    # At 3.68 kW the certificate counts; at any other rating nothing does.
    answer = decision(with_list({**G98, "rated_w": 3680}, rated_w=None))
    assert answer.possible[0] == "g98-single"
    assert "g99-short" in answer.possible
    assert "sgi-1" not in answer.possible
    assert answer.unknown == ("units[0].rated_w",)
    assert not [f for f in answer.findings if f.id == "certificate-rating"]


# The last day counts; the day after does not. 2026-11-24 is the day of the file.
@pytest.mark.parametrize(
    ("dates", "until", "counts"),
    [
        ({}, "2026-11-24", True),
        ({}, "2026-11-23", False),
        ({"planned_on": "2027-02-01"}, "2027-02-01", True),
        ({"planned_on": "2027-02-01"}, "2027-01-31", False),
        ({"status": "existing", "commissioned_on": "2024-06-01"}, "2024-06-01", True),
        ({"status": "existing", "commissioned_on": "2024-06-01"}, "2024-05-31", False),
    ],
)
def test_a_certificate_counts_up_to_its_last_day(dates, until, counts):
    answer = decided(with_list({**G98, "valid_until": until}, **dates))
    assert answer.procedure == ("g98-single" if counts else "g99-short")
    assert found(answer, "certificate-run-out") == ([] if counts else [("decide", "a/1")])


def test_the_planned_day_of_the_site_stands_for_that_of_a_proposed_unit():
    run_out = with_list({**G98, "valid_until": "2027-01-31"})
    assert procedure(run_out) == "g98-single"
    assert procedure(run_out, planned_on="2027-02-01") == "g99-short"


def test_a_later_certificate_takes_the_place_of_one_that_has_run_out():
    answer = decided(with_list({**G98, "valid_until": "2026-01-01"}, G98))
    assert answer.procedure == "g98-single"
    assert found(answer, "certificate-run-out") == [("decide", "a/1")]


def test_an_unknown_second_certificate_changes_nothing_where_the_first_will_do():
    answer = decision(with_list(G98, {"reference": "invented 3"}))
    assert answer.procedure.key == "g98-single"
    assert answer.unknown == ()


def test_an_unknown_second_certificate_is_named_where_it_could_change_the_outcome():
    answer = decision(with_list(G99, {"type_tested": "full"}))
    assert answer.possible == ("g98-single", "sgi-1")
    assert answer.unknown == ("units[0].standards[1].standard",)


def test_what_is_said_of_no_certificate_is_named_as_that_of_the_first():
    answer = decision(with_list())
    assert answer.unknown == (
        "units[0].standards[0].type_tested",
        "units[0].standards[0].standard",
    )


def test_a_reference_is_asked_for_of_one_full_certificate():
    without = {"standard": "G98", "type_tested": "full"}
    assert found(decided(with_list(without)), "no-register-reference") == [("decide", "a")]
    assert found(decided(with_list(without, G99)), "no-register-reference") == []


def test_g98_alone_is_too_small_and_beside_g99_it_is_not():
    # 5 kW is 21.7 A, above the 16 A of G98.
    assert found(decided(with_list(G98, rated_w=5000)), "standard-too-small") == [("decide", "a")]
    assert found(decided(with_list(G98, G99, rated_w=5000)), "standard-too-small") == []


# Definition of fully type tested: the module, at most 50 kW. All inverters are one module, each
# synchronous unit is its own. 2 x 25 = 50 is not above; 26 + 26 = 52; 30 + 30 = 60.
@pytest.mark.parametrize(
    ("units", "subjects"),
    [
        ([unit("a", 25_000, phases=ALL), unit("b", 25_000, phases=ALL)], []),
        ([unit("a", 25_000, quantity=2, phases=ALL)], []),
        ([unit("a", 26_000, phases=ALL), unit("b", 26_000, phases=ALL)], ["site"]),
        ([unit("a", 26_000, quantity=2, phases=ALL)], ["a"]),
        ([unit("a", 30_000, phases=ALL), unit("b", 30_000, phases=ALL)], ["site"]),
        ([unit("a", 30_000, kind="synchronous", quantity=2, phases=ALL)], []),
        ([unit("a", 51_000, kind="synchronous", phases=ALL)], ["a"]),
        ([unit("a", 30_000, phases=ALL), unit("b", 30_000, kind="asynchronous", phases=ALL)],
         ["site"]),
        ([unit("a", 30_000, phases=ALL), unit("b", 30_000, kind="synchronous", phases=ALL)], []),
        ([unit("a", 20_000, phases=ALL, design_w=30_000), unit("b", 25_000, phases=ALL)],
         ["site"]),
    ],
)  # fmt: skip
def test_a_full_test_is_one_of_the_module(units, subjects):
    answer = decided(*units, phases=3)
    assert found(answer, "full-test-too-large") == [("decide", one) for one in subjects]


def test_too_large_a_module_is_read_as_partly_tested():
    tested = [unit("a", 6000, phases=ALL), unit("b", 6000, phases=ALL)]
    assert procedure(*tested, phases=3) == "sgi-3"  # 2 x 6 kW on three phases: 17.4 A
    # The same ratings, of units made for 26 kW each: 52 kW together, and 37.7 A each.
    larger = [{**one, "design_w": 22_080} for one in tested]  # 32 A a phase each, 44.2 kW
    assert procedure(*larger, phases=3) == "sgi-3"
    third = unit("c", 2000, phases=ALL, design_w=22_080)  # with it 66.2 kW
    assert procedure(*larger, third, phases=3) == "g99-short"
