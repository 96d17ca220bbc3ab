"""Two changes together, tried only where no single one passes.

The first change is one that a firm would make anyway: type-tested equipment, one hybrid inverter, a
limitation scheme, other phases, a three-phase supply, or equipment limited to a size in the rules.
The search for the second runs on the site with the first.
"""

from collections.abc import Callable, Iterator

from msgspec import Struct, structs

from connections.facts.defaults import design_w, rating
from connections.remedies.edit import Edit
from connections.remedies.kinds.export_limit import (
    export_candidates,
    export_limits,
    limit_in_words,
    named_limit,
)
from connections.remedies.kinds.fewer_units import fewer_units
from connections.remedies.kinds.other_rating import smaller_units
from connections.remedies.kinds.phases import other_phases
from connections.remedies.kinds.shared_inverter import (
    largest_replaced_w,
    phases_of,
    separate_inverters,
    shared_inverters,
    with_shared,
)
from connections.remedies.kinds.tested import named_tested, tested, tested_equipment, untested_lines
from connections.remedies.made_of import called, each, other_equipment, proposed
from connections.remedies.option import Option, Start
from connections.remedies.proof import Proof
from connections.rules.figures import kilowatts, listed

_SECOND: tuple[Callable[[Start], Iterator[Option]], ...] = (
    export_limits,
    tested_equipment,
    shared_inverters,
    smaller_units,
    fewer_units,
    other_phases,
)


class First(Struct, frozen=True):
    """A first change, which need not pass by itself."""

    option: Option
    start: Start


def pairs(start: Start) -> Iterator[tuple[Option, Option]]:
    """Two changes that pass together; those with the smallest change of plant first."""
    seen: set[tuple[frozenset[str], str]] = set()
    for first in _firsts(start):
        for search in _SECOND:
            for second in search(first.start):
                if first.option.kind == second.kind:
                    continue
                key = (
                    frozenset({first.option.kind, second.kind}),
                    second.proof.decided.procedure,
                )
                if key not in seen:
                    seen.add(key)
                    yield first.option, second


def _firsts(start: Start) -> Iterator[First]:
    site, book = start.site, start.rules.book
    untested = untested_lines(start)
    if untested:
        yield _first(
            start,
            "tested-equipment",
            f"fully type-tested equipment in place of {listed([u.id for _, u in untested])}",
            tested(start, untested),
            name=named_tested([u for _, u in untested]),
        )
    for value, basis in export_candidates(site, book):
        edit = Edit(site)
        edit.export_limit(value, basis)
        yield _first(
            start,
            "export-limit",
            "a fully type-tested limitation scheme holding export to "
            + limit_in_words(value, basis, site, book),
            edit,
            name=named_limit(value, basis, site),
        )
    replaced = separate_inverters(site)
    if replaced and largest_replaced_w(replaced) > 0:
        rated_w = largest_replaced_w(replaced)
        yield _first(
            start,
            "shared-inverter",
            f"one hybrid inverter of {kilowatts(rated_w)} on {listed(phases_of(replaced))}, fully "
            f"type tested, in place of {listed([unit.id for _, unit in replaced])}",
            with_shared(start, replaced, rated_w),
            name=f"One hybrid inverter, {kilowatts(rated_w)}",
            competent=True,
        )
    for i, unit in proposed(site):
        for key in ("sgi.design_limit", "g98.unit_limit"):
            if key not in book.values or book.values[key].unit != "mA":
                continue
            largest = book.whole(key) * book.whole("voltage.nominal") * len(unit.phases) // 10**6
            if max(design_w(unit) or 0, rating(unit.rated_w) or 0) > largest > 0:
                edit = Edit(site)
                edit.unit(i, **other_equipment(unit, largest, book))
                yield _first(
                    start,
                    "smaller-unit",
                    f"a unit made for {kilowatts(largest)}{each(unit)} in place of {called(unit)}",
                    edit,
                    name=f"{unit.id} of {kilowatts(largest)}",
                )


def _first(
    start: Start, kind: str, what: str, edit: Edit, *, name: str, competent: bool = False
) -> First:
    changed = edit.site
    made = Option(
        kind=kind,
        what=what,
        name=name,
        change=edit.changes,
        proof=Proof(start.before, (), False),
        takes_out=tuple(edit.takes_out),
        competent=competent,
    )
    return First(made, structs.replace(start, site=changed))
