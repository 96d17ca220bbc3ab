"""Yearly energy cost of each remedy of a design: the request, its state, and a sentence each."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import msgspec
from django.utils import timezone
from msgspec import Struct, ValidationError, convert

from connections.energy.asked import YearAsked
from connections.energy.energy_errors import EnergyError
from connections.energy.from_site import PlantFound, plant_of
from connections.energy.result import Figures
from connections.facts.canonical import digest
from connections.facts.reading import site_of
from connections.facts.site import Site
from connections.facts.site_file_error import SiteFileError
from connections.remedies.applying import applied
from sites.deciding.reading.deciding import DecidedSite
from sites.deciding.reading.remedies import ShownRemedies, remedy_mark
from sites.energy.models import EnergyInputs
from sites.energy.reading.years import asked_for, latest_inputs
from sites.energy.words.remedy_years import (
    UNCHANGED,
    as_it_stands,
    cannot_be_told,
    difference,
    rests,
)
from sites.house.models import Work
from sites.house.models.work import REMEDIES
from sites.premises.models import Design

Kind = Literal["no-inputs", "needs", "not-asked", "waiting", "failed", "done", "changed"]
Place = Literal["premises", "review", "answers"]
"""The page that a list of remedies stands on."""

LONG_S = 60
"""A request that makes no progress for this long may have no worker, or a dead one."""

AS_IT_STANDS = ""
"""The mark of the unchanged design among its remedies."""


class WorkedOut(Struct, frozen=True):
    """The figures of one year, or the reason why there are none, with the time."""

    at: dt.datetime
    figures: Figures | None = None
    fault: str = ""


@dataclass(frozen=True)
class Wanted:
    """The request for a design and its remedies, by their marks.

    `base` is the unchanged design; None if facts are missing, which `needs` names. `years` holds
    each remedy that leads to another year. `unknown` says in words which facts a remedy lacks.
    `same` holds remedies that leave the energy of a year unchanged.
    """

    base: YearAsked | None
    needs: tuple[str, ...] = ()
    years: Mapping[str, YearAsked] = field(default_factory=dict)
    unknown: Mapping[str, str] = field(default_factory=dict)
    same: frozenset[str] = frozenset()

    @property
    def asked(self) -> dict[str, object]:
        """The whole request as stored and read back; the design itself has an empty mark."""
        if self.base is None:
            return {}
        found: dict[str, object] = msgspec.json.decode(
            msgspec.json.encode({AS_IT_STANDS: self.base, **self.years})
        )
        return found

    @property
    def digest(self) -> str:
        """The digest of the whole request."""
        return digest(self.asked)


@dataclass(frozen=True)
class YearsOfRemedies:
    """The state of the years of a list of remedies.

    `marks` are those in the list with a year of their own; `digest` is the one that the page was
    made for. `done` of `total` years are worked out; `long` says that nothing was for a while.
    `says` names what is missing or went wrong; `rests` names what the sentences are based on.
    """

    kind: Kind
    design: Design
    place: Place
    digest: str = ""
    marks: tuple[str, ...] = ()
    done: int = 0
    total: int = 0
    long: bool = False
    says: tuple[str, ...] = ()
    rests: tuple[str, ...] = ()
    sentences: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class RemediesWithYears(ShownRemedies):
    """Remedies with their yearly energy cost, if known.

    `years` is the state of these figures, None if no remedy changes anything.
    """

    years: YearsOfRemedies | None = None


def with_years(
    shown: ShownRemedies, design: Design, decided: DecidedSite, place: Place
) -> RemediesWithYears:
    """Add to each remedy of a page its sentence, if there is one.

    Two queries; none if no remedy changes anything.
    """
    marks = tuple(each.mark for each in (*shown.first, *shown.rest) if each.mark)
    if not marks or decided.site is None:
        return RemediesWithYears(shown.first, shown.rest, shown.stopped)
    inputs = latest_inputs(design.premises)
    if inputs is None:
        years = YearsOfRemedies("no-inputs", design, place)
    else:
        years = years_now(design, place, marks, wanted_of(decided, inputs), row_of(design))
    return RemediesWithYears(
        first=tuple(replace(one, year=years.sentences.get(one.mark, "")) for one in shown.first),
        rest=tuple(replace(one, year=years.sentences.get(one.mark, "")) for one in shown.rest),
        stopped=shown.stopped,
        years=years,
    )


def wanted_of(decided: DecidedSite, inputs: EnergyInputs) -> Wanted:
    """Return the request for a decided design with its remedies."""
    site, decision = decided.site, decided.decision
    if site is None:
        return Wanted(None, (decided.fault,))
    found = _plant_of(site)
    if found.plant is None:
        return Wanted(None, found.needs)
    base = _asked(found, inputs)
    assert base is not None
    alone = _without_words(base)
    content = msgspec.json.decode(msgspec.json.encode(site))
    years: dict[str, YearAsked] = {}
    unknown: dict[str, str] = {}
    same: set[str] = set()
    for remedy in decision.remedies if decision is not None else ():
        if not remedy.change:
            continue
        mark = remedy_mark(remedy)
        try:
            after = _plant_of(site_of(applied(content, remedy.change)))
        except SiteFileError as fault:
            unknown[mark] = f"{fault.path}: {fault.message}"
            continue
        asked = _asked(after, inputs)
        if asked is None:
            unknown[mark] = " ".join(after.needs)
        elif (year := _without_words(asked)) == alone:
            same.add(mark)
        else:
            years[mark] = year
    return Wanted(base, (), years, unknown, frozenset(same))


def _plant_of(site: Site) -> PlantFound:
    try:
        return plant_of(site)
    except EnergyError as fault:
        return PlantFound(None, (str(fault),), ())


def _asked(found: PlantFound, inputs: EnergyInputs) -> YearAsked | None:
    """Return the year of a plant without low and high cases or finer steps: sentences use none."""
    if found.plant is None:
        return None
    asked = asked_for(found.plant, inputs)
    options = msgspec.structs.replace(asked.options, cases=False, finer=False)
    return msgspec.structs.replace(asked, options=options)


def _without_words(asked: YearAsked) -> YearAsked:
    """Return the same year without notes on how its plant was read, which affect no figure."""
    plant = msgspec.structs.replace(asked.plant, told=())
    return msgspec.structs.replace(asked, plant=plant)


def row_of(design: Design) -> Work | None:
    """Return the last request for a design's remedies; one query."""
    return Work.objects.filter(kind=REMEDIES, design=design).first()


def years_now(
    design: Design, place: Place, marks: tuple[str, ...], wanted: Wanted, row: Work | None
) -> YearsOfRemedies:
    """Return the state of a list's years for the current facts.

    Args:
        marks: the remedies of the list that change something.
        row: the last request for this design.
    """
    if wanted.base is None:
        return YearsOfRemedies("needs", design, place, says=wanted.needs)
    told = dict.fromkeys(wanted.same, UNCHANGED)
    told |= {mark: cannot_be_told(why) for mark, why in wanted.unknown.items()}
    of_list = tuple(mark for mark in marks if mark in wanted.years)
    if not of_list:
        return YearsOfRemedies("done", design, place, rests=rests(wanted.base), sentences=told)
    if row is None or row.digest != wanted.digest or not _readable(row):
        return YearsOfRemedies(
            "not-asked", design, place, wanted.digest, of_list,
            total=len(wanted.years) + 1, sentences=told,
        )  # fmt: skip
    found = years_of_row(design, place, of_list, row)
    return replace(found, sentences={**told, **found.sentences})


def years_as_asked(
    design: Design, place: Place, marks: Iterable[str], seen: str
) -> YearsOfRemedies:
    """Return the progress of the years that a page shows, without deciding anything; one query.

    `seen` is the page's digest; if the stored one differs, the page is out of date.
    """
    row = row_of(design)
    if row is None or row.digest != seen or not _readable(row):
        return YearsOfRemedies("changed", design, place)
    return years_of_row(
        design, place, tuple(mark for mark in marks if mark and mark in row.asked), row
    )


def years_of_row(
    design: Design, place: Place, marks: tuple[str, ...], row: Work
) -> YearsOfRemedies:
    """Return the state of a row's years, with a sentence for each mark that is worked out."""
    results = worked_out(row)
    found = YearsOfRemedies(
        "done",
        design=design,
        place=place,
        digest=row.digest,
        marks=marks,
        done=len(results),
        total=len(row.asked),
        sentences=_sentences(marks, results),
    )
    if row.done_at is None:
        last = max((row.asked_at, *(each.at for each in results.values())))
        waited = (timezone.now() - last).total_seconds()
        return replace(found, kind="waiting", long=waited > LONG_S)
    if row.fault:
        return replace(found, kind="failed", says=(row.fault,))
    told = rests(convert(row.asked[AS_IT_STANDS], YearAsked))
    base = results.get(AS_IT_STANDS)
    if base is not None and base.figures is not None:
        told = (*told, as_it_stands(base.figures))
    return replace(found, rests=told)


def worked_out(row: Work) -> dict[str, WorkedOut]:
    """Return the results so far, by mark. Raises ValidationError if another program stored them."""
    return convert(row.results, dict[str, WorkedOut])


def _readable(row: Work) -> bool:
    try:
        worked_out(row)
        convert(row.asked.get(AS_IT_STANDS), YearAsked)
    except ValidationError:
        return False
    return True


def _sentences(marks: Iterable[str], results: Mapping[str, WorkedOut]) -> dict[str, str]:
    base = results.get(AS_IT_STANDS)
    told = {}
    for mark in marks:
        one = results.get(mark)
        if one is None or base is None or base.figures is None:
            continue
        told[mark] = (
            cannot_be_told(one.fault)
            if one.figures is None
            else difference(base.figures, one.figures)
        )
    return told
