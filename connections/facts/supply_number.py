"""Supply numbers: of Great Britain (MPAN) the core of 13 digits and its check digit.

Source: public descriptions of the supply number, three agreeing (secondary). The check digit is
the sum of the first 12 digits times 3 5 7 13 17 19 23 29 31 37 41 43, modulo 11, modulo 10.
A full number has 21 digits, or 22 since the half-hourly settlement reform of 22 September 2025;
both end in the core. Numbers of 11 digits (MPRN of Northern Ireland and of Ireland) are checked for
length only: that they begin with 81 and 10 is from memory. A rulebook names the scheme of its
premises (`supply_number.scheme`).
"""

import re

from msgspec import Struct

WEIGHTS = (3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41, 43)
_LENGTHS = (13, 21, 22)

GREAT_BRITAIN = "gb13"
SCHEMES = {GREAT_BRITAIN: 13, "ni11": 11, "ie11": 11}
"""The schemes that rulebooks name, with their number of digits. Any other scheme is read as one of
11 digits."""


def number_word(nation: str | None) -> str:
    """What a supply number is called in a nation: "MPRN" on the island of Ireland, else "MPAN"."""
    return "MPRN" if nation in ("northern_ireland", "ireland") else "MPAN"


class SupplyNumberError(ValueError):
    """Not a valid supply number; the text says why and what to do."""


class Core(Struct, frozen=True):
    """The core of a supply number; `prefix` is its first two digits, the distributor id."""

    digits: str
    prefix: str

    def __str__(self) -> str:
        """The core in groups, as printed on a bill."""
        d = self.digits
        return f"{d[:2]} {d[2:6]} {d[6:10]} {d[10:]}" if len(d) == 13 else d


def check_digit(first_twelve: str) -> int:
    """The check digit of the first 12 digits of a core."""
    total = sum(int(digit) * weight for digit, weight in zip(first_twelve, WEIGHTS, strict=True))
    return total % 11 % 10


def read_core(typed: str, scheme: str = GREAT_BRITAIN) -> Core:
    """Read the core of a typed supply number, with or without blanks.

    The prefix of an 11-digit number gives no licence area.

    Raises SupplyNumberError for other characters, another length or a wrong check digit.
    """
    digits = re.sub(r"[\s\u00a0-]+", "", typed)
    if not (digits.isascii() and digits.isdigit()):
        raise SupplyNumberError("use digits only; blanks between them are fine")
    if scheme != GREAT_BRITAIN:
        wanted = SCHEMES.get(scheme, 11)
        if len(digits) != wanted:
            raise SupplyNumberError(
                f"this has {len(digits)} digits; a number of this kind has {wanted}"
            )
        return Core(digits, digits[:2])
    if len(digits) not in _LENGTHS:
        raise SupplyNumberError(
            f"this has {len(digits)} digits; type the 13 of the bottom line "
            "(or the full number of 21 or 22)"
        )
    core = digits[-13:]
    expected = check_digit(core[:12])
    if int(core[12]) != expected:
        raise SupplyNumberError(
            "the check digit does not fit; compare the 13 digits with the bill, "
            "two may have been swapped"
        )
    return Core(core, core[:2])
