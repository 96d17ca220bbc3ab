"""Explains the decision on a case: facts, rows, comparisons, steps, findings and values."""

from collections.abc import Iterable

from django.utils.http import urlencode
from msgspec import Struct

from connections.facts.derivation import (
    Compared,
    Derivation,
    FactRead,
    FindingMade,
    RowTried,
    StepFollowed,
    ValueUsed,
)
from connections.rulebook.book import Rulebook
from connections.rulebook.telling import day_in_words, origin
from connections.rules.decide import Decided
from connections.rules.explaining.derivation import derivation
from connections.rules.explaining.facts import capital, fact_in_words
from connections.rules.figures import in_unit
from sites.cases.models import Case
from sites.deciding.limit_bars import Bar, bar_of
from sites.deciding.reading.deciding import decide_case
from sites.premises.words.facts import Facts
from sites.rulebook.reading.place import where_of
from sites.rulebook.words.rulebook import SEVERITIES, SHORT_CERTAINTIES, plain_word, short_certainty

_MOST_READ = 12
"""Lists at most this many places for a fact and counts the rest. Our choice."""


class ReadFrom(Struct, frozen=True):
    """A place of the sheet in words, with its value."""

    says: str
    value: str


class ToldFact(Struct, frozen=True):
    """A deciding fact with its value, its arithmetic, and the facts it is made of."""

    says: str
    value: str
    workings: str
    read: tuple[ReadFrom, ...]
    more: int


class ToldComparison(Struct, frozen=True):
    """A condition: its sentence, its bar, and its value with source and layer."""

    sentence: str
    result: str
    bar: Bar | None
    key: str
    reading: str
    source: str
    certainty: str


class ToldRow(Struct, frozen=True):
    """A row that was tried; conditions that fail or can't be told come first."""

    id: str
    title: str
    head: str
    settles: bool
    against: tuple[ToldComparison, ...]
    holding: tuple[ToldComparison, ...]
    source: str
    certainty: str


class ToldStep(Struct, frozen=True):
    """A step of the outcome, whether it is needed, and the values it names."""

    id: str
    says: str
    needed: str
    comparisons: tuple[ToldComparison, ...]
    keys: tuple[str, ...]
    source: str
    certainty: str


class ToldFinding(Struct, frozen=True):
    """A finding with its arithmetic, the values it rests on, and the facts it read."""

    sentence: str
    severity: str
    tone: str
    workings: str
    keys: tuple[str, ...]
    read: tuple[ReadFrom, ...]


class ToldValue(Struct, frozen=True):
    """A value that took part: the winning layer, and those beneath it."""

    key: str
    says: str
    amount: str
    since: str
    source: str
    certainty: str
    checked: str
    layer: str
    beneath: tuple[str, ...]
    note: str


class Explained(Struct, frozen=True):
    """How a case was decided; with a `fault`, which says why it can't be, the rest is empty.

    `asked` is the place and day of the rulebook, as its pages' addresses write them.
    """

    fault: str
    sentence: str = ""
    edition: str = ""
    on: str = ""
    layers: tuple[str, ...] = ()
    digest: str = ""
    facts: tuple[ToldFact, ...] = ()
    rows: tuple[ToldRow, ...] = ()
    steps: tuple[ToldStep, ...] = ()
    findings: tuple[ToldFinding, ...] = ()
    values: tuple[ToldValue, ...] = ()
    asked: str = ""


def explained(case: Case) -> Explained:
    """Return the whole derivation of the decision on a case, from its rows."""
    found = decide_case(case)
    if found.site is None or found.book is None or found.decided is None:
        return Explained(found.fault)
    told = derivation(found.decided)
    words = Facts(found.site, found.book)
    return Explained(
        fault="",
        sentence=_in_words(told.sentence, told.unknown, words),
        edition=told.edition,
        on=day_in_words(told.on_date),
        layers=tuple(layer.title for layer in told.layers),
        digest=told.digest,
        facts=_facts(found.decided, told, words),
        rows=tuple(_row(row) for row in told.rows),
        steps=tuple(_step(step) for step in told.steps),
        findings=tuple(_finding(finding, words) for finding in told.findings),
        values=tuple(_value(value) for value in told.values),
        asked=urlencode({"where": where(found.book), "on": told.on_date.isoformat()}),
    )


def _in_words(sentence: str, paths: Iterable[str], words: Facts) -> str:
    """Replace the site-file paths in a sentence with words."""
    for path in sorted(paths, key=len, reverse=True):
        sentence = sentence.replace(path, words.read(path).says)
    return sentence


def where(book: Rulebook) -> str:
    """Return the address word for the place of a rulebook."""
    nation = next((area.nation for area in book.areas if area.id == book.area), "")
    return where_of(book.area, nation)


def _facts(decided: Decided, told: Derivation, words: Facts) -> tuple[ToldFact, ...]:
    return tuple(
        ToldFact(
            says=capital(fact.says),
            value=plain_word(fact_in_words(decided.case, fact.name)),
            workings=fact.workings,
            read=_read(fact.read[:_MOST_READ], words),
            more=max(0, len(fact.read) - _MOST_READ),
        )
        for fact in told.facts
    )


def _read(places: Iterable[FactRead], words: Facts) -> tuple[ReadFrom, ...]:
    found = (words.read(place.path) for place in places)
    return tuple(ReadFrom(each.says, each.value) for each in found)


def _row(row: RowTried) -> ToldRow:
    told = [(one.result, _comparison(one)) for one in row.comparisons]
    head = row.sentence.removeprefix(f"Row {row.id} ")
    head = head.removesuffix(f" ({origin(row.source, row.certainty)}).")
    return ToldRow(
        id=row.id,
        title=row.title,
        head=capital(head),
        settles=row.settles,
        against=tuple(one for result, one in told if result is not True),
        holding=tuple(one for result, one in told if result is True),
        source=row.source,
        certainty=SHORT_CERTAINTIES[row.certainty],
    )


def _comparison(made: Compared) -> ToldComparison:
    """Return a comparison without the words in brackets, which the page shows beside it."""
    sentence = made.sentence.partition(f" ({made.key}: ")[0] if made.key else made.sentence
    return ToldComparison(
        sentence=f"{sentence.rstrip('.')}.",
        result={True: "holds", False: "fails", None: "can't be told"}[made.result],
        bar=_bar(made),
        key=made.key,
        reading=made.reading,
        source=made.source if made.key else "",
        certainty=short_certainty(made.certainty),
    )


def _bar(made: Compared) -> Bar | None:
    if made.unit == "count" or not isinstance(made.value, int) or not isinstance(made.limit, int):
        return None
    words = f"{in_unit(made.value, made.unit)} beside a limit of {in_unit(made.limit, made.unit)}"
    return bar_of(made.value, made.limit, within=made.result is not False, words=words)


def _step(step: StepFollowed) -> ToldStep:
    return ToldStep(
        id=step.id,
        says=step.says,
        needed={True: "", False: "Not needed here", None: "Perhaps needed"}[step.result],
        comparisons=tuple(_comparison(one) for one in step.comparisons),
        keys=step.keys,
        source=step.source,
        certainty=SHORT_CERTAINTIES[step.certainty],
    )


def _finding(finding: FindingMade, words: Facts) -> ToldFinding:
    return ToldFinding(
        sentence=finding.sentence,
        severity=SEVERITIES[finding.severity],
        tone=finding.severity,
        workings=finding.workings,
        keys=finding.keys,
        read=_read(finding.read[:_MOST_READ], words),
    )


def _value(value: ValueUsed) -> ToldValue:
    won = value.won
    return ToldValue(
        key=value.key,
        says=value.says,
        amount=won.written,
        since=day_in_words(won.since),
        source=won.source,
        certainty=short_certainty(won.certainty),
        checked=day_in_words(value.checked),
        layer=won.title,
        beneath=tuple(
            f"{lower.written} from {lower.title} ({lower.source})" for lower in value.beneath
        ),
        note=value.note,
    )
