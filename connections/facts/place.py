"""The place of premises as operators name it: postcode sector and feeder.

A postcode is an outward code ("EX1") and an inward code of a digit and two letters ("1AA"); outward
code and digit are the sector ("EX1 1"). From memory: the public description of the postcode.
"""

import re

_OUTWARD = r"[A-Z]{1,2}[0-9][A-Z0-9]?"
_POSTCODE = re.compile(rf"({_OUTWARD})([0-9])[A-Z]{{2}}")
_SECTOR = re.compile(rf"({_OUTWARD})([0-9])")


def sector_of(postcode: str) -> str | None:
    """The sector of a typed postcode, or None if the postcode is not complete."""
    return _found(_POSTCODE, postcode)


def as_sector(typed: str) -> str | None:
    """A typed sector in plain spelling ("ex1 1" is "EX1 1"), or None if it is not a sector."""
    return _found(_SECTOR, typed)


def folded_feeder(name: str) -> str:
    """The name of a feeder for comparison: upper case, one blank between words."""
    return " ".join(name.split()).upper()


def _found(pattern: re.Pattern[str], typed: str) -> str | None:
    found = pattern.fullmatch(re.sub(r"\s+", "", typed).upper())
    return f"{found[1]} {found[2]}" if found else None
