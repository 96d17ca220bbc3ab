"""The papers that an operator wants with a pack, and which of them are there.

What a step of the rulebook asks for stands there with its source. The signed papers, the scheme's
description and the data sheets are common practice, without a source.
"""

from collections.abc import Container, Iterable, Iterator

from msgspec import Struct

from connections.facts.defaults import is_fully_tested, known
from connections.facts.site import Site
from connections.pack.content import Pack
from sites.deciding.reading.deciding import DecidedSite
from sites.review.models import Attachment
from sites.review.models.attachment import (
    AUTHORITY,
    CONSENT,
    DATA_SHEET,
    SCHEME,
    SITE_PLAN,
    TEST,
)

_IN_THE_PACK = frozenset({"single-line diagram", "protection schedule"})
_KINDS = {
    "limitation scheme description": SCHEME,
    "site plan": SITE_PLAN,
    "test report": TEST,
    "test results of the limitation scheme": TEST,
}
"""What steps ask for, by the kind of file that answers it; the rest is looked for by its words."""


class Paper(Struct, frozen=True):
    """One wanted paper: what it is, and the file that answers it or where else it stands."""

    says: str
    there: str = ""


def papers_of(pack: Pack, decided: DecidedSite, files: Iterable[Attachment]) -> tuple[Paper, ...]:
    """The papers wanted with a pack, in the order of asking; each once."""
    found: dict[str, Paper] = {}
    for paper in _wanted(pack, decided, list(files)):
        found.setdefault(paper.says, paper)
    return tuple(found.values())


def _wanted(pack: Pack, decided: DecidedSite, files: list[Attachment]) -> Iterator[Paper]:
    kind, site = pack.procedure.kind, pack.technical.site
    limits = known(site.limits)
    limited = limits is not None and bool(known(limits.export) or known(limits.import_))
    if decided.decision is not None:
        for step in decided.decision.steps:
            if step.what == kind:
                yield from (
                    _asked(words, files)
                    for words in step.attachments
                    if limited or _KINDS.get(words) != SCHEME
                )
    if kind != "application":
        return
    yield _of_kind("Letter of authority, signed by the customer", AUTHORITY, files)
    yield _of_kind("Consent of the owner, signed", CONSENT, files)
    if limited:
        yield _of_kind("Limitation scheme description", SCHEME, files)
    for model in _untested(site, decided.proposed):
        sheets = [file for file in files if file.kind == DATA_SHEET and _names(file, model)]
        yield Paper(f"Data sheet of {model}", _first(sheets))


def _asked(words: str, files: list[Attachment]) -> Paper:
    says = words[:1].upper() + words[1:]
    if words in _IN_THE_PACK:
        return Paper(says, "in the pack")
    if words in _KINDS:
        return _of_kind(says, _KINDS[words], files)
    return Paper(says, _first([file for file in files if _names(file, words)]))


def _of_kind(says: str, kind: str, files: list[Attachment]) -> Paper:
    return Paper(says, _first([file for file in files if file.kind == kind]))


def _first(files: list[Attachment]) -> str:
    return files[0].name if files else ""


def _names(file: Attachment, words: str) -> bool:
    said = _plain(f"{file.title} {file.name}")
    return _plain(words) in said


def _plain(words: str) -> str:
    return "".join(c for c in words.casefold() if c.isalnum())


def _untested(site: Site, proposed: Container[str]) -> Iterator[str]:
    """Models of proposed units that are not type tested in full."""
    for unit in site.units:
        model = known(unit.model)
        if model and unit.id in proposed and not is_fully_tested(unit):
            yield model
