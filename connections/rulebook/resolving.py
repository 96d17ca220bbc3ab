"""Stack the layers of a rulebook for a date and an area, and check that they fit.

Between two days of change everything resolves alike. So make one rulebook for each such stretch,
area and set of local files, and change only its date.
"""

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from functools import lru_cache

from msgspec import structs

from connections.rulebook.book import ExportCap, ExtraCondition, Layer, Rulebook, Value
from connections.rulebook.checking.fitting import check_layer, keys_of
from connections.rulebook.checking.gaps import change_days, refuse_gap_in, refuse_gaps
from connections.rulebook.keeping import with_digest
from connections.rulebook.reading.caps import overlap, shared_place
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import Books, DatedCap, DatedValue, Part
from connections.rulebook.switching import live_outcomes, live_rows, live_steps, switched_off


def resolve_parts(
    books: Books, on: dt.date, area: str, nation: str, local: tuple[Part, ...]
) -> Rulebook:
    """The rulebook of a date, area and nation with local files on top; see `load.resolve`.

    Local files for areas lie above those for all, in any given order.
    """
    local = _in_order(local)
    _edition_on(books, on, nation)
    same = _Same(books, local)
    days = _days(same)
    first = days[bisect_right(days, on) - 1]
    book = _of_stretch(same, first, area, nation)
    return book if book.on_date == on else structs.replace(book, on_date=on)


def check_local(books: Books, local: Sequence[Part]) -> None:
    """Refuse local entries that do not fit on some day or in some area, or that open a gap.

    Call it when entries are made: it covers all days. `resolve` checks only its own day and accepts
    an entry that opens a gap later. Raises RulebookError at the entry.
    """
    local = _in_order(local)
    for part in local:
        _check_areas(part, books)
        _check_known(part, books)
        _check_conditions(part, books)
    for day in change_days(local):
        _check_level([part for part in local if part.holds_on(day) and not part.areas])
        for area in {area for part in local for area in part.areas}:
            _check_level([p for p in local if p.holds_on(day) and area in p.areas])
    for edition in books.editions:
        there = [part for part in local if _overlap(part, edition)]
        seen: set[tuple[str, ...]] = set()
        inside = [a.id for a in books.areas if not set(a.nations).isdisjoint(edition.nations)]
        for area in ("", *inside):
            locals_ = [part for part in there if _is_for(part, area)]
            operators = [p for p in books.operators if area in p.areas and _overlap(p, edition)]
            stack = [*operators, *locals_]
            alike = tuple(part.key for part in stack)
            if not locals_ or alike in seen:
                continue
            seen.add(alike)
            below: dict[str, DatedValue] = dict(edition.values)
            for part in stack:
                check_layer(part, edition, below)
                below.update(part.values)
            refuse_gaps(edition, stack)


class _Same:
    """Books and local files as a cache key: the same object, and files with equal digests."""

    def __init__(self, books: Books, local: tuple[Part, ...]) -> None:
        self.books = books
        self.local = local
        self._files = tuple((part.file, part.digest) for part in local)

    def __hash__(self) -> int:
        return hash((id(self.books), self._files))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _Same) and self.books is other.books and self._files == other._files
        )


@lru_cache(maxsize=64)
def _days(same: _Same) -> tuple[dt.date, ...]:
    """The days of change; between them everything resolves alike."""
    return change_days((*same.books.editions, *same.books.operators, *same.local))


@lru_cache(maxsize=256)
def _of_stretch(same: _Same, on: dt.date, area: str, nation: str) -> Rulebook:
    return _resolved(same.books, on, area, nation, same.local)


def _in_order(local: Iterable[Part]) -> tuple[Part, ...]:
    """Local files, lowest first: those for all, then those for areas."""
    return tuple(sorted(local, key=lambda part: bool(part.areas)))


def _check_known(part: Part, books: Books) -> None:
    """Refuse a value that no edition and no operator's file has: nothing would read it."""
    for key in part.values:
        if not any(key in other.values for other in (*books.editions, *books.operators)):
            raise RulebookError(
                part.places[f"value {key}"],
                f"value {key}",
                "no edition has a value of this key; check its spelling",
            )


def _check_conditions(part: Part, books: Books) -> None:
    """Refuse an extra condition whose values no single edition holds."""
    for dated in part.conditions:
        keys = keys_of(dated.condition)
        lacking: list[set[str]] = [
            keys - {*edition.values, *part.values} for edition in books.editions
        ]
        if all(lacking):
            fewest = min(lacking, key=len)
            missing = min(fewest)
            n = next(
                n
                for n, condition in enumerate(dated.condition.when, 1)
                if missing in (condition.against, condition.reading)
            )
            thing = f"condition {dated.condition.id}"
            raise RulebookError(
                part.places[thing],
                f"{thing}: when {n}",
                f'there is no value "{missing}"; check its spelling',
            )


def _is_for(part: Part, area: str) -> bool:
    """Whether a local file applies in an area; one without areas applies everywhere."""
    return not part.areas or area in part.areas


def _overlap(part: Part, other: Part) -> bool:
    return part.holds_on(other.since) or other.holds_on(part.since)


def _resolved(
    books: Books, on: dt.date, area: str, nation: str, local: tuple[Part, ...]
) -> Rulebook:
    edition = _edition_on(books, on, nation)
    _check_area(area, books, "", "area")
    _check_nation(area, nation, books)
    for part in local:
        _check_areas(part, books)
    operators = [p for p in books.operators if area in p.areas and p.holds_on(on)]
    locals_ = [p for p in local if _is_for(p, area) and p.holds_on(on)]
    _check_level([part for part in locals_ if not part.areas])
    _check_level([part for part in locals_ if part.areas])
    stack: dict[str, DatedValue] = dict(edition.values)
    values = _in_force(edition, on)
    steps = {step.id: step for step in edition.steps}
    settings = {table.id: table for table in edition.settings}
    caps: dict[str, ExportCap] = {}
    extras: dict[str, ExtraCondition] = {}
    beneath: dict[str, tuple[Value, ...]] = {}
    given_by = dict.fromkeys(_things(edition), (edition.key,))
    for part in (*operators, *locals_):
        check_layer(part, edition, stack)
        stack.update(part.values)
        for key, value in _in_force(part, on).items():
            if key in values:
                beneath[key] = (values[key], *beneath.get(key, ()))
            values[key] = value
        for thing in _things(part):
            given_by[thing] = (part.key, *given_by.get(thing, ()))
        steps.update({step.id: step for step in part.steps})
        settings.update({table.id: table for table in part.settings})
        for cap in part.caps:
            if cap.holds_on(on):
                caps[cap.cap.id] = structs.replace(cap.cap, layer=part.key)
        for extra in part.conditions:
            condition = extra.condition
            if extra.holds_on(on) and keys_of(condition) <= values.keys():
                extras[condition.id] = structs.replace(condition, layer=part.key)
    held = {key: value.amount for key, value in values.items()}
    rows = live_rows(edition.rows, held.get)
    off = switched_off(edition.rows, rows)
    book = with_digest(
        Rulebook(
            key=edition.key,
            edition=edition.edition,
            on_date=on,
            area=area,
            layers=tuple(
                Layer(part.key, part.title, part.digest) for part in (edition, *operators, *locals_)
            ),
            values=dict(sorted(values.items())),
            table=rows,
            outcomes=live_outcomes(edition.outcomes, off),
            steps=live_steps(steps.values(), off),
            settings=tuple(settings.values()),
            areas=books.areas,
            digest="",
            caps=tuple(caps[key] for key in sorted(caps)),
            conditions=tuple(extras[key] for key in sorted(extras)),
            beneath=beneath,
            given_by=given_by,
            awaited={key: each.document for each in edition.awaited for key in each.keys},
            reference=_for_reference(values, (edition, *operators), books).difference(
                *(keys_of(extra) for extra in extras.values())
            ),
        )
    )
    refuse_gap_in(book, edition, locals_)
    return book


def _edition_on(books: Books, on: dt.date, nation: str) -> Part:
    for_nation = [part for part in books.editions if nation in part.nations]
    if not for_nation:
        raise RulebookError("", "nation", f'there is no edition for "{nation}" yet')
    for part in for_nation:
        if part.holds_on(on):
            return part
    first = for_nation[0]
    if on < first.since:
        raise RulebookError(
            "",
            "on_date",
            f"no edition is known for {on}; the first one, {first.edition}, holds from "
            f"{first.since}",
        )
    before = [part for part in for_nation if part.since <= on][-1]
    raise RulebookError(
        "", "on_date", f"no edition is known for {on}; {before.edition} holds until {before.until}"
    )


def _in_force(part: Part, on: dt.date) -> dict[str, Value]:
    values = {}
    for key, dated in part.values.items():
        spell = dated.on(on)
        if spell is not None:
            values[key] = Value(
                key=key,
                says=spell.says or dated.says,
                unit=dated.unit,
                applies_to=spell.applies_to or dated.applies_to,
                amount=spell.amount,
                written=spell.written,
                since=spell.since,
                source=spell.source,
                certainty=spell.certainty,
                checked=spell.checked or dated.checked,
                layer=part.key,
                note=spell.note,
            )
    return values


def _for_reference(keys: Iterable[str], here: Sequence[Part], books: Books) -> frozenset[str]:
    """The keys that shipped files keep for reference. For a key that only a local file gives here,
    shipped files elsewhere decide."""
    everywhere = (*books.editions, *books.operators)

    def giving(key: str, parts: Iterable[Part]) -> list[DatedValue]:
        return [part.values[key] for part in parts if key in part.values]

    given = {key: giving(key, here) or giving(key, everywhere) for key in keys}
    return frozenset(
        key for key, dated in given.items() if dated and all(each.reference for each in dated)
    )


def _things(part: Part) -> tuple[str, ...]:
    """Steps, setting tables, caps and conditions of a file, named as in `places`."""
    return (
        *(f"step {step.id}" for step in part.steps),
        *(f"setting table {table.id}" for table in part.settings),
        *dict.fromkeys(f"export cap {dated.cap.id}" for dated in part.caps),
        *dict.fromkeys(f"condition {dated.condition.id}" for dated in part.conditions),
    )


def _check_level(parts: Iterable[Part]) -> None:
    """Refuse a key in two files of the same level, and two caps on one place."""
    taken: dict[str, Part] = {}
    capped: list[tuple[DatedCap, Part]] = []
    for part in parts:
        for thing in (*(f"value {key}" for key in part.values), *_things(part)):
            if thing in taken:
                other = taken[thing].places[thing]
                raise RulebookError(
                    part.places[thing], thing, f"{other} gives it too; keep one of the two"
                )
            taken[thing] = part
        for dated in part.caps:
            for before, there in capped:
                place = shared_place(dated.cap, before.cap)
                if there is not part and place and _share_days(dated, before):
                    thing = f"export cap {dated.cap.id}"
                    raise RulebookError(
                        part.places[thing],
                        thing,
                        f"{before.cap.id} in {there.file} caps {place} already on some of these "
                        "days; end that first",
                    )
            capped.append((dated, part))


def _share_days(one: DatedCap, other: DatedCap) -> bool:
    return overlap((one.cap.since, one.until), (other.cap.since, other.until))


def check_editions(editions: Sequence[Part]) -> None:
    """Refuse two editions with one key, or for one nation on one day."""
    for n, part in enumerate(editions):
        for before in editions[:n]:
            if part.key == before.key:
                raise RulebookError(part.file, "book", f"{before.file} has the same key")
            both = set(part.nations) & set(before.nations)
            if both and before.holds_on(part.since):
                raise RulebookError(
                    part.file, "book", f"its dates overlap those of {before.file}; set `until`"
                )


def check_operators(books: Books) -> None:
    """Refuse an operator's file for an unknown area, or one that does not fit an edition."""
    for part in books.operators:
        _check_areas(part, books)
        _check_conditions(part, books)
        overlapping = [
            other
            for other in books.operators
            if set(other.areas) & set(part.areas) and other.holds_on(part.since)
        ]
        _check_level(overlapping)
        for edition in books.editions:
            if _overlap(part, edition) and _share_nation(part, edition, books):
                check_layer(part, edition, edition.values)
    for area in {area for part in books.operators for area in part.areas}:
        stack = [part for part in books.operators if area in part.areas]
        for edition in books.editions:
            there = [p for p in stack if _overlap(p, edition) and _share_nation(p, edition, books)]
            refuse_gaps(edition, there)


def _share_nation(part: Part, edition: Part, books: Books) -> bool:
    """Whether an edition holds in a nation of the areas of an operator's file."""
    nations = {n for area in books.areas if area.id in part.areas for n in area.nations}
    return not nations.isdisjoint(edition.nations)


def _check_nation(area: str, nation: str, books: Books) -> None:
    """Refuse an area outside the nation asked about."""
    found = next((known for known in books.areas if known.id == area), None)
    if found is not None and nation not in found.nations:
        raise RulebookError(
            "",
            "area",
            f'the licence area "{area}" does not lie in {nation.replace("_", " ").title()}; '
            "correct one of the two",
        )


def _check_areas(part: Part, books: Books) -> None:
    for area in part.areas:
        _check_area(area, books, part.file, "book")


def _check_area(area: str, books: Books, file: str, key: str) -> None:
    if area and area not in {known.id for known in books.areas}:
        raise RulebookError(file, key, f'there is no licence area "{area}"')
