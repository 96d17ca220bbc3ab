"""Read and write site files; errors name the place and say what to do."""

import json
import re
from collections.abc import Mapping
from typing import Any

import msgspec

from connections.facts.canonical import canonical
from connections.facts.defaults import first_day
from connections.facts.naming import words_at
from connections.facts.site import BOTH_WAYS, LARGEST, Array, Party, Site, Storage, Unit
from connections.facts.site_file_error import SiteFileError
from connections.facts.supply_number import SupplyNumberError, read_core

_decoder = msgspec.json.Decoder(Site)
_encode = msgspec.json.Encoder().encode
_AT = re.compile(r"^(?P<what>.*?)(?: - at `(?P<path>[^`]*)`)?$", re.S)
_MISSING = re.compile(r"^Object missing required field `(?P<field>[^`]+)`")
_UNKNOWN = re.compile(r"^Object contains unknown field `(?P<field>.+)`$", re.S)
_EXPECTED = re.compile(r"^Expected `(?P<wanted>[^`]+)`, got `(?P<got>[^`]+)`")
_BOUND = re.compile(
    r"^Expected `(?P<wanted>\w+)`(?P<length> of length)? (?P<side>>=|<=) (?P<limit>-?\d+)$"
)
_DATED = re.compile(r"^(units|arrays|storage)\[\d+\]\.commissioned_on$")
_CHOICE = re.compile(r"^Invalid enum value (?P<value>.+)$", re.S)
_LARGEST_FILE = 2_000_000
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
"""Control characters (Unicode category Cc) except line end and tab."""
# A control character passes the decoder only as an escape, as DEL itself, or after 0xC2. Files
# without these bytes skip the second check.
_MAY_BE_CONTROL = (b"\\", b"\x7f", b"\xc2")


def read_site(raw: bytes | str) -> Site:
    """Read a site file.

    Raises SiteFileError with the path of the first fault.
    """
    data = (raw.encode() if isinstance(raw, str) else raw).removeprefix(_BYTE_ORDER_MARK)
    if len(data) > _LARGEST_FILE:
        raise SiteFileError("", f"the file is larger than {_LARGEST_FILE} bytes")
    try:
        site = _decoder.decode(data)
    except msgspec.ValidationError as fault:
        raise _explain(str(fault)) from None
    except (msgspec.DecodeError, UnicodeDecodeError) as fault:
        raise SiteFileError("", f"this is not valid JSON: {fault}") from None
    except RecursionError:
        raise SiteFileError("", "this is nested too deeply to be a site file") from None
    _refuse_duplicate_keys(data)
    if any(sign in data for sign in _MAY_BE_CONTROL):
        _refuse_control_characters(msgspec.json.decode(data), "")
    _check(site)
    return site


def site_of(plain: Mapping[str, Any]) -> Site:
    """Read the site of a site file given as plain data, in which dates may be dates.

    Refuses the same as `read_site`, with the same SiteFileError.
    """
    try:
        site = msgspec.convert(plain, Site)
    except msgspec.ValidationError as fault:
        raise _explain(str(fault)) from None
    except RecursionError:
        raise SiteFileError("", "this is nested too deeply to be a site file") from None
    # Looked for in bytes, which is many times quicker than looking at every text.
    data = _encode(plain)
    if any(sign in data for sign in _MAY_BE_CONTROL):
        _refuse_control_characters(plain, "")
    _check(site)
    return site


def write_site(site: Site) -> bytes:
    """Write a site as canonical JSON; reading it back gives an equal site."""
    return canonical(site)


def _explain(fault: str) -> SiteFileError:
    """Turn the decoder's message into one that helps the person."""
    found = _AT.match(fault)
    what = found["what"] if found else fault
    path = (found["path"] or "" if found else "").removeprefix("$").removeprefix(".")
    if missing := _MISSING.match(what):
        return SiteFileError(_join(path, missing["field"]), "this is needed; give it")
    if unknown := _UNKNOWN.match(what):
        return SiteFileError(
            _join(path, unknown["field"][:80]),
            "this key is not part of a site file; check its spelling or take it out",
        )
    if choice := _CHOICE.match(what):
        return SiteFileError(path, f"{choice['value']} is not one of: {_choices(path)}")
    if bound := _BOUND.match(what):
        return SiteFileError(path, _bound_words(bound))
    expected = _EXPECTED.match(what)
    # The only texts with a pattern are dates.
    if "matching regex" in what or (expected and _DATED.search(path)):
        return SiteFileError(path, _DAY_OR_MONTH)
    if expected:
        return SiteFileError(path, _wanted_words(expected["wanted"], expected["got"]))
    if what == BOTH_WAYS:
        return SiteFileError(_join(path, "standards"), what)
    if "RFC3339" in what:
        return SiteFileError(path, _DATE)
    if "out of range" in what:
        return SiteFileError(path, f"the number is larger than {LARGEST}; check its unit")
    return SiteFileError(path, what)


def _bound_words(bound: re.Match[str]) -> str:
    limit = int(bound["limit"])
    if bound["length"]:
        if bound["side"] == ">=":
            wanted = "entry" if bound["wanted"] == "array" else "character"
            return f"at least {limit} {wanted} is needed"
        return f"this is longer than {limit}; shorten it"
    if limit == 0:
        return "a negative number can't stand here"
    return f"the number must lie within {LARGEST}; check its unit"


_DATE = "give a date as year-month-day, such as 2026-11-24"
_DAY_OR_MONTH = f"{_DATE}, or a month, such as 2026-11"


def _wanted_words(wanted: str, got: str) -> str:
    kinds = wanted.split(" | ")
    if kinds[0] == "date":
        return _DATE
    if kinds[0] == "int" and got == "float":
        return "give a whole number in the unit that the name ends with"
    words = [_json_word(kind) for kind in kinds]
    if words[-1] == "null":
        words[-1] = "null for unknown"
    return f"give {' or '.join(words)}, not {_json_word(got)}"


def _json_word(name: str) -> str:
    return {
        "str": "text",
        "int": "a whole number",
        "float": "a fraction",
        "bool": "true or false",
        "null": "null",
        "array": "a list",
        "object": "an object",
        "date": "a date",
    }.get(name, name)


_CHOICES = {
    "format": '"site/1"',
    "supply.phases": "1, 2 (split single-phase), 3",
    "supply.now_phases": "1, 2 (split single-phase), 3",
}
"""Words that are told otherwise than by themselves."""


def _choices(path: str) -> str:
    words = ", ".join(map(str, words_at(path)))
    return _CHOICES.get(path) or words or "the allowed words"


def _join(path: str, field: str) -> str:
    return f"{path}.{field}" if path else field


def _check(site: Site) -> None:
    """Check beyond the types: unique ids, each phase once, dates on the right units, numbers."""
    if not site.reference.strip():
        raise SiteFileError("reference", "this may not be empty")
    seen: set[str] = set()
    for i, unit in enumerate(site.units):
        if unit.id in seen:
            raise SiteFileError(
                f"units[{i}].id", f'"{unit.id}" stands twice; give each unit its own id'
            )
        seen.add(unit.id)
        if len(set(unit.phases)) != len(unit.phases):
            raise SiteFileError(f"units[{i}].phases", "a phase stands twice; name each once")
        _check_date(f"units[{i}]", unit)
        trackers = [str(each.tracker) for each in unit.dc_inputs or ()]
        _once(f"units[{i}].dc_inputs", "tracker", trackers)
    for i, array in enumerate(site.arrays):
        _check_date(f"arrays[{i}]", array)
    for i, cells in enumerate(site.storage):
        _check_date(f"storage[{i}]", cells)
    _once("boards", "id", [board.id for board in site.boards or ()])
    _once("clamps", "id", [clamp.id for clamp in site.clamps or ()])
    _once("overrides", "key", [override.key for override in site.overrides or ()])
    premises = site.premises
    if isinstance(premises, msgspec.Struct):
        for i, number in enumerate(premises.supply_numbers):
            try:
                read_core(number.value, number.scheme)
            except SupplyNumberError as fault:
                raise SiteFileError(f"premises.supply_numbers[{i}].value", str(fault)) from None


def _check_date(place: str, part: Unit | Array | Storage) -> None:
    """Refuse a day that the calendar does not have; the types know only its form."""
    try:
        first_day(part.commissioned_on)
    except ValueError:
        raise SiteFileError(f"{place}.commissioned_on", _DAY_OR_MONTH) from None


def _once(group: str, name: str, said: list[str]) -> None:
    for i, word in enumerate(said):
        if word in said[:i]:
            raise SiteFileError(f"{group}[{i}].{name}", f'"{word}" stands twice; give it once')


class _Pairs(tuple[tuple[str, object], ...]):
    """The keys and values of one JSON object, a key that stands twice included."""


def _refuse_duplicate_keys(data: bytes) -> None:
    """Refuse a key that stands twice in one object: the decoder would keep the last in silence."""
    twice = False

    def look(pairs: list[tuple[str, object]]) -> None:
        nonlocal twice
        twice = twice or len({key for key, _ in pairs}) < len(pairs)

    json.loads(data, object_pairs_hook=look)
    if twice:
        _name_duplicate(json.loads(data, object_pairs_hook=_Pairs), "")


def _name_duplicate(value: object, path: str) -> None:
    if isinstance(value, _Pairs):
        _once_each(path, [key for key, _ in value])
        for key, entry in value:
            _name_duplicate(entry, _join(path, key))
    elif isinstance(value, list):
        for i, entry in enumerate(value):
            _name_duplicate(entry, f"{path}[{i}]")


def _once_each(path: str, keys: list[str]) -> None:
    for i, key in enumerate(keys):
        if key in keys[:i]:
            raise SiteFileError(_join(path, key), "this key stands twice here; give it once")


def _refuse_control_characters(value: object, path: str) -> None:
    if isinstance(value, str):
        if _CONTROL.search(value):
            raise SiteFileError(path, "this holds a control character; type the text again")
    elif isinstance(value, list):
        for i, entry in enumerate(value):
            _refuse_control_characters(entry, f"{path}[{i}]")
    elif isinstance(value, dict):
        for key, entry in value.items():
            _refuse_control_characters(entry, _join(path, key))


def party(site: Site, role: str) -> Party | None:
    """The party in a role: customer, applicant or installer."""
    if not isinstance(site.parties, msgspec.Struct):
        return None
    found = getattr(site.parties, role)
    return found if isinstance(found, Party) else None
