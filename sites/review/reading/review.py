"""Findings with their arithmetic for the engineer, on one case and on all."""

from collections import defaultdict
from collections.abc import Iterable

from msgspec import Struct

from connections.facts.canonical import digest
from connections.facts.decision import Decision, Finding
from connections.facts.site import Site
from connections.rulebook.book import Rulebook
from connections.rulebook.telling import certainty_in_words
from sites.cases.models import Case
from sites.deciding.reading.deciding import DecidedSite, decide_case
from sites.deciding.words import SEVERITY_WORDS, about_words, margin_words
from sites.premises.words.facts import FactRead, Facts
from sites.review.models import Question, Verdict
from sites.review.reading.verdicts import OpenFinding, findings_of

_ORDER = {"stops": 0, "decide": 1, "inform": 2}


class ValueUsed(Struct, frozen=True):
    """A rulebook value that a finding compared with, and its source."""

    key: str
    says: str
    written: str
    source: str
    certainty: str
    note: str


class ReviewedFinding(Struct, frozen=True):
    """A finding as the engineer reads it.

    `anchor` names it on its page; `about` is its subject in words. `margin` is the distance to the
    limit, left or over, empty if nothing is measured.
    """

    anchor: str
    finding: Finding
    about: str
    severity: str
    margin: str
    values: tuple[ValueUsed, ...]
    facts: tuple[FactRead, ...]
    verdict: Verdict | None
    outdated: Verdict | None
    questions: tuple[Question, ...]

    @property
    def is_open(self) -> bool:
        """Whether somebody must still act on it."""
        return self.finding.severity != "inform" and self.verdict is None

    @property
    def open_questions(self) -> tuple[Question, ...]:
        """Questions to the office that wait for an answer."""
        return tuple(question for question in self.questions if question.answered_at is None)


class ReviewedLine(Struct, frozen=True):
    """One case of an application with its findings, or none if it can't be decided."""

    case: Case
    decided: DecidedSite
    findings: tuple[ReviewedFinding, ...]

    @property
    def decision(self) -> Decision | None:
        """The decision, if there is one."""
        return self.decided.decision

    @property
    def open_findings(self) -> tuple[ReviewedFinding, ...]:
        """Open findings that stop or need a decision, stops first."""
        return tuple(each for each in self.findings if each.is_open)

    @property
    def open_questions(self) -> int:
        """The number of questions that wait for the office."""
        return sum(len(each.open_questions) for each in self.findings)

    @property
    def stops(self) -> int:
        """The number of findings that stop the application."""
        return sum(each.finding.severity == "stops" for each in self.open_findings)

    def finding(self, finding_id: str, subject: str) -> ReviewedFinding | None:
        """Return the finding with this id and subject, if it still exists."""
        for each in self.findings:
            if (each.finding.id, each.finding.subject) == (finding_id, subject):
                return each
        return None


def review_line(case: Case) -> ReviewedLine:
    """Return one case with its findings; the decision includes remedies."""
    decided = decide_case(case, remedies=True)
    if decided.decision is None:
        return ReviewedLine(case, decided, ())
    questions = case.questions.select_related("asked_by", "answered_by")
    return _reviewed(case, decided, findings_of(case, decided.decision), questions)


def _reviewed(
    case: Case,
    decided: DecidedSite,
    answers: Iterable[OpenFinding],
    questions: Iterable[Question],
) -> ReviewedLine:
    site, book = decided.site, decided.book
    assert site is not None
    assert book is not None
    asked = defaultdict(list)
    for question in questions:
        asked[question.finding, question.subject].append(question)
    facts = Facts(site, book)
    findings = [
        _finding(answer, site, book, facts, tuple(asked[_named(answer.finding)]))
        for answer in answers
    ]
    findings.sort(key=lambda each: (_ORDER[each.finding.severity], not each.is_open))
    return ReviewedLine(case, decided, tuple(findings))


def _named(finding: Finding) -> tuple[str, str]:
    return finding.id, finding.subject


def anchor_of(finding: Finding) -> str:
    """Return the name of a finding on its page, which is stable for the same finding."""
    return f"finding-{finding.id}-{digest(finding.subject)[:8]}"


def _finding(
    answer: OpenFinding,
    site: Site,
    book: Rulebook,
    facts: Facts,
    questions: tuple[Question, ...],
) -> ReviewedFinding:
    finding = answer.finding
    return ReviewedFinding(
        anchor=anchor_of(finding),
        finding=finding,
        about=about_words(finding, site),
        severity=SEVERITY_WORDS[finding.severity],
        margin=margin_words(finding),
        values=tuple(_value(key, book) for key in finding.keys if key in book.values),
        facts=tuple(facts.read(path) for path in finding.facts),
        verdict=answer.verdict,
        outdated=answer.outdated,
        questions=questions,
    )


def _value(key: str, book: Rulebook) -> ValueUsed:
    value = book.values[key]
    certainty = certainty_in_words(book, value)
    return ValueUsed(key, value.says, value.written, str(value.source), certainty, value.note)
