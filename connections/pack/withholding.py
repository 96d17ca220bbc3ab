"""Keep personal values out of the technical part.

People type some of its text, or rules make it from typed text: findings, reasons, names of boards
and loads. A personal value of the case in such text is replaced by a word for its kind. The case's
reference, labels of units, and names and numbers of equipment are not searched: they name no
person, and a changed one would be a wrong fact.
"""

import re
from collections.abc import Mapping
from typing import TypeVar

import msgspec
from msgspec import UNSET, structs

from connections.facts.decision import Decision
from connections.facts.reading import party
from connections.facts.site import Parties, Premises, Site
from connections.facts.supply_number import SupplyNumberError, read_core

T = TypeVar("T")

SHORTEST_NAME = 4
"""A shorter name ("Lee") could be part of a trade word and is not searched for."""
SHORTEST_LINE = 6
"""A shorter line of an address is a house number or a word like "Flat"."""


class Withholding:
    """Replaces the personal values of one case by words."""

    def __init__(self, site: Site) -> None:
        self._words = _personal_values(site)
        self._labels = frozenset(unit.id for unit in site.units)
        spellings = sorted(self._words, key=len, reverse=True)
        alternatives = "|".join(_spelled(value) for value in spellings)
        self._pattern = re.compile(rf"(?<!\w)(?:{alternatives})(?!\w)", re.I) if spellings else None

    def text(self, text: str) -> str:
        """The text with every personal value replaced: "the site of (customer's name)"."""
        if self._pattern is None or text in self._labels:
            return text
        return self._pattern.sub(self._word, text)

    def _word(self, found: re.Match[str]) -> str:
        return f"({self._words.get(_folded(found[0]), 'personal')})"

    def whole(self, value: T) -> T:
        """A frozen struct of facts with personal values replaced in every text."""
        if self._pattern is None:
            return value
        return msgspec.convert(self.plain(msgspec.to_builtins(value)), type(value))

    def plain(self, value: object) -> object:
        """Plain data with personal values replaced in every text, keys excepted."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, list | tuple):
            return [self.plain(entry) for entry in value]
        if isinstance(value, dict):
            return {key: self.plain(entry) for key, entry in value.items()}
        return value


def with_persons(technical: Site, site: Site, withholding: Withholding) -> Site:
    """The technical site with parties and premises put back, for the sections to read."""
    premises = site.premises
    if isinstance(premises, Premises):
        premises = structs.replace(
            premises,
            metering=_treated(premises.metering, withholding),
            feeder=_treated(premises.feeder, withholding),
        )
    return structs.replace(technical, parties=site.parties, premises=premises)


def technical_site(site: Site, withholding: Withholding) -> Site:
    """The site without its parties and without facts that name or locate the premises.

    Names of equipment stay; personal values are replaced in text about places.
    """
    premises: Premises | None | msgspec.UnsetType = site.premises
    if isinstance(premises, Premises):
        premises = Premises(
            nation=premises.nation,
            licence_area=premises.licence_area,
            island=premises.island,
            metering=_treated(premises.metering, withholding),
            feeder=_treated(premises.feeder, withholding),
        )
    units = tuple(
        structs.replace(unit, feeds_from=_treated(unit.feeds_from, withholding))
        for unit in site.units
    )
    return structs.replace(
        site,
        parties=UNSET,
        premises=premises,
        units=units,
        **{name: _parts(getattr(site, name), withholding) for name in _WITH_TEXTS},
    )


_WITH_TEXTS = ("loads", "limits", "protection", "cables", "boards", "clamps", "overrides")
"""Parts of the site whose texts people type about places."""


def _parts(value: object, withholding: Withholding) -> object:
    if isinstance(value, tuple):
        return tuple(withholding.whole(part) for part in value)
    return withholding.whole(value) if isinstance(value, msgspec.Struct) else value


def technical_decision(decision: Decision, withholding: Withholding) -> Decision:
    """The decision with personal values replaced in its texts; digests and unit ids stay."""
    return structs.replace(
        decision,
        findings=tuple(
            structs.replace(
                finding,
                values=withholding.plain(finding.values),
                sentence=withholding.text(finding.sentence),
                workings=withholding.text(finding.workings),
            )
            for finding in decision.findings
        ),
        remedies=tuple(
            structs.replace(remedy, sentence=withholding.text(remedy.sentence))
            for remedy in decision.remedies
        ),
    )


def _treated(
    value: str | None | msgspec.UnsetType, withholding: Withholding
) -> str | None | msgspec.UnsetType:
    return withholding.text(value) if isinstance(value, str) else value


def _personal_values(site: Site) -> Mapping[str, str]:
    """Folded personal values of the case, each with the word that replaces it."""
    found: dict[str, str] = {}

    def add(value: object, word: str, shortest: int) -> None:
        if isinstance(value, str) and len(value.strip()) >= shortest:
            found.setdefault(_folded(value), word)

    parties = site.parties if isinstance(site.parties, Parties) else None
    for role in ("customer", "applicant", "installer") if parties else ():
        person = party(site, role)
        if person is None:
            continue
        add(person.name, f"{role}'s name", SHORTEST_NAME)
        add(person.email, f"{role}'s e-mail", SHORTEST_NAME)
        add(person.phone, f"{role}'s telephone", SHORTEST_LINE)
        for line in person.address_lines or ():
            add(line, f"{role}'s address", SHORTEST_LINE)
    premises = site.premises
    if isinstance(premises, Premises):
        add(premises.name, "name of the premises", SHORTEST_NAME)
        add(premises.postcode, "postcode", SHORTEST_NAME)
        for line in premises.address_lines or ():
            add(line, "address of the premises", SHORTEST_LINE)
        for number in premises.supply_numbers:
            add(number.value, "supply number", SHORTEST_NAME)
            try:
                add(read_core(number.value, number.scheme).digits, "supply number", SHORTEST_NAME)
            except SupplyNumberError:
                continue
    return found


def _folded(value: str) -> str:
    return re.sub(r"\s+", "", value).casefold()


def _spelled(folded: str) -> str:
    """A pattern that finds the value with any blanks between its characters."""
    return r"\s*".join(re.escape(character) for character in folded)
