"""Supply numbers: check digit, lengths, and what their first two digits say."""

import pytest

from connections.facts.site import Premises
from connections.facts.site_file_error import SiteFileError
from connections.facts.supply_number import SupplyNumberError, check_digit, read_core
from connections.rules.decide import decide
from tests.site_files import book, found, site, unit

# Worked from the weights of public descriptions of the supply number (secondary, three agreeing).
# 99 is not an allocated distributor id, so neither number belongs to anybody.
# 99 1234567890: 27+45+7+26+51+76+115+174+217+296+369+0 = 1403; 1403 mod 11 = 6; 6 mod 10 = 6.
# 99 0000123456: 27+45+0+0+0+0+23+58+93+148+205+258 = 857; 857 mod 11 = 10; 10 mod 10 = 0.
WORKED = [("991234567890", 6), ("990000123456", 0)]


@pytest.mark.parametrize(("first", "digit"), WORKED)
def test_check_digits_as_worked_by_hand(first, digit):
    assert check_digit(first) == digit
    assert read_core(f"{first}{digit}").digits == f"{first}{digit}"


@pytest.mark.parametrize("last", "012345789")
def test_every_other_digit_is_wrong(last):
    with pytest.raises(SupplyNumberError, match="the check digit does not fit"):
        read_core("991234567890" + last)


def test_two_digits_swapped_are_noticed():
    with pytest.raises(SupplyNumberError, match="the check digit does not fit"):
        read_core("9912345679806")  # ...7890 6 with 8 and 9 swapped


@pytest.mark.parametrize(
    "typed",
    [
        "9912345678906",  # 13: the core
        "99 1234 5678 906",
        "99-1234-5678-906",
        " 99 1234567890 6 ",
        "99\u00a01234\u00a05678\u00a0906",
        "011111119912345678906",  # 21: profile class 2, switching 3, line loss 3, core
        "01 111 111 99 1234 5678 906",
        "0011110009912345678906",  # 22 since the settlement reform: 2 + 4 + 3 + core
        "00 1111 000 99 1234 5678 906",
    ],
)
def test_the_core_is_found_in_every_length(typed):
    core = read_core(typed)
    assert (core.digits, core.prefix) == ("9912345678906", "99")
    assert str(core) == "99 1234 5678 906"


@pytest.mark.parametrize("count", [1, 11, 12, 14, 20, 23])
def test_other_lengths_say_how_many_digits_there_are(count):
    with pytest.raises(SupplyNumberError) as caught:
        read_core("9" * count)
    assert str(caught.value) == (
        f"this has {count} digits; type the 13 of the bottom line (or the full number of 21 or 22)"
    )


@pytest.mark.parametrize("typed", ["99 1234 5678 90A", "MPAN 9912345678906", "", "٩٩١٢٣٤٥٦٧٨٩٠٦"])
def test_other_signs_are_refused(typed):
    with pytest.raises(SupplyNumberError, match=r"^use digits only; blanks between them are fine$"):
        read_core(typed)


def test_numbers_of_11_digits_are_checked_for_length_only():
    # Northern Ireland and Ireland, from memory: 11 digits.
    assert read_core("81 123456789", "ie11").prefix == "81"
    with pytest.raises(SupplyNumberError, match=r"^this has 12 digits; "):
        read_core("811234567890", "ie11")


def with_number(value, scheme="gb13", **premises):
    number = {"use": "import", "scheme": scheme, "value": value}
    return site(unit(), premises={"supply_numbers": [number], **premises})


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("9912345678905", "the check digit does not fit; compare the 13 digits with the bill, "
         "two may have been swapped"),
        ("123", "this has 3 digits; type the 13 of the bottom line (or the full number of 21 or "
         "22)"),
        ("none yet", "use digits only; blanks between them are fine"),
    ],
)  # fmt: skip
def test_a_site_file_with_a_bad_number_names_the_place(value, message):
    with pytest.raises(SiteFileError) as caught:
        with_number(value)
    assert caught.value.path == "premises.supply_numbers[0].value"
    assert caught.value.message == message


def core_with(prefix):
    first = f"{prefix}0000000001"
    return f"{first}{check_digit(first)}"


def test_an_unknown_prefix_is_kept_with_a_finding():
    answer = decide(with_number("9912345678906"), book())
    premises = answer.case.site.premises
    assert isinstance(premises, Premises)
    assert premises.supply_numbers[0].value == "9912345678906"
    path = "premises.supply_numbers[0].value"
    assert found(answer, "supply-number-prefix") == [("inform", path)]
    assert answer.procedure == "g98-single"


# Source: two to three agreeing public tables (secondary): 10 to 23 are areas, 24 to 38 independent.
@pytest.mark.parametrize("prefix", range(24, 39))
def test_independent_operators_tell_no_region(prefix):
    answer = decide(with_number(core_with(prefix)), book(""))
    assert [severity for severity, _ in found(answer, "independent-network")] == ["inform"]
    assert found(answer, "supply-number-prefix") == []


@pytest.mark.parametrize("prefix", range(10, 24))
def test_areas_are_known(prefix):
    answer = decide(with_number(core_with(prefix), licence_area=f"gb-{prefix}"), book())
    for id in ("independent-network", "supply-number-prefix", "area-differs"):
        assert found(answer, id) == []


def test_another_area_than_the_one_given_is_told():
    answer = decide(with_number(core_with(12), licence_area="gb-19"), book("gb-19"))
    assert [severity for severity, _ in found(answer, "area-differs")] == ["decide"]
