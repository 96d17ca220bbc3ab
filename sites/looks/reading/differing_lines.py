"""Decides cases without sentences, and compares the results under two sets of rules."""

import datetime as dt

from msgspec import Struct, structs

from connections.assessing import Assessor, decide_without_words
from connections.facts.site import Site
from connections.facts.site_file_error import SiteFileError
from connections.rulebook.book import Amount, Rulebook
from connections.rules.case import title_of
from connections.rules.comparing.decisions import Change, changes_between
from connections.rules.decide import UNDETERMINED, Decided
from connections.rules.engineering import with_checks
from sites.deciding.reading.deciding import commissioned
from sites.premises.reading.site_rows import SiteRows, site_from

CANNOT_TELL = "Cannot tell yet"

CHECKED_GROUPS = ("cable", "demand", "fault", "quality", "schedule", "string", "voltage_rise")
"""Groups of values that only the electrical checks read."""


class Differing(Struct, frozen=True):
    """A case with a different result.

    `coming` is the day from which it holds, None if it holds already or was asked for. `book` is
    the rulebook behind it, None if the site can't be decided under it.
    """

    case: int
    coming: dt.date | None
    was: str
    now: str
    changes: tuple[Change, ...]
    book: Rulebook | None


class Looked(Struct, frozen=True):
    """Result of a look at some cases; `noted` are the rules to note for each case from now on."""

    differing: tuple[Differing, ...]
    noted: dict[int, Rulebook]


class Result(Struct, frozen=True):
    """A decision on a site with its rulebook, or the fault that prevents one."""

    decided: Decided | None
    book: Rulebook | None
    fault: str = ""


def not_before(day: dt.date, chosen: dt.date | None) -> dt.date:
    """Return the later of `day` and the chosen date of the rules, if one is chosen."""
    return day if chosen is None else max(chosen, day)


def decided_on(rows: SiteRows, site: Site | str, rules: Assessor, day: dt.date) -> Result:
    """Decide rows, whose facts are `site`, on a day under the rules of that day."""
    if isinstance(site, str):
        return Result(None, None, site)
    site = structs.replace(site, on_date=day)
    try:
        book = rules.rulebook(site)
    except SiteFileError as fault:
        return Result(None, None, fault.message)
    return decided_under(rows, site, book)


def facts_of(rows: SiteRows) -> Site | str:
    """Return the facts, or why the rows are no site yet."""
    try:
        return site_from(rows)
    except SiteFileError as fault:
        return f"{fault.path}: {fault.message}"


def decided_under(rows: SiteRows, site: Site, book: Rulebook) -> Result:
    """Decide facts under given rules, of this program or of an earlier one.

    Work that is done counts as built, as on every page.
    """
    try:
        return Result(decide_without_words(site, book, commissioned(rows)), book)
    except KeyError as fault:
        return Result(None, book, f"the rules hold no value {fault.args[0]}")


def compared(
    case: int, coming: dt.date | None, before: Result, after: Result, *, loud: bool = False
) -> Differing | None:
    """Return the differences, or None; a site that can't be decided either way has none.

    With `loud`, differences that only inform do not count.
    """
    if before.decided is not None and after.decided is not None:
        was_decided, now_decided = before.decided, after.decided
        if _checks_may_differ(before.book, after.book):
            was_decided, now_decided = with_checks(was_decided), with_checks(now_decided)
        changes = changes_between(was_decided, now_decided)
        if loud and not _is_loud(was_decided, now_decided, changes):
            return None
    elif (before.decided is None) == (after.decided is None):
        return None
    else:
        sentence = (
            f"It can't be decided under these rules: {after.fault}."
            if after.decided is None
            else f"It can be decided under these rules; before: {before.fault}."
        )
        was, now = _procedure(before), _procedure(after)
        changes = (Change("procedure", "procedure", "changed", was, now, sentence),)
    if not changes:
        return None
    return Differing(case, coming, _procedure(before), _procedure(after), changes, after.book)


def _checks_may_differ(before: Rulebook | None, after: Rulebook | None) -> bool:
    """Whether a value of the electrical checks differs.

    Checks take longer than everything else, and with the same values they find the same.
    """
    if before is None or after is None or before.digest == after.digest:
        return False
    key = (before.digest, after.digest)
    found = _differ.get(key)
    if found is None:
        if len(_differ) >= _MOST_PAIRS:
            _differ.clear()
        found = _differ[key] = _checked(before) != _checked(after)
    return found


_differ: dict[tuple[str, str], bool] = {}
_MOST_PAIRS = 1024


def _checked(book: Rulebook) -> dict[str, Amount]:
    return {
        key: value.amount
        for key, value in book.values.items()
        if key.split(".")[0] in CHECKED_GROUPS
    }


def _is_loud(before: Decided, after: Decided, changes: tuple[Change, ...]) -> bool:
    """Whether a difference needs action."""
    return any(each.kind != "finding" for each in changes) or _loud(before) != _loud(after)


def _loud(decided: Decided) -> set[tuple[str, str, str]]:
    """Return the findings that need action."""
    return {
        (each.id, each.subject, each.severity)
        for each in decided.findings
        if each.severity != "inform"
    }


def _procedure(result: Result) -> str:
    decided = result.decided
    if decided is None or decided.case.outcome == UNDETERMINED:
        return CANNOT_TELL
    return title_of(decided.case, decided.case.outcome)
