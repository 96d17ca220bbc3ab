"""Remedy: fully type-tested equipment in place of any other."""

from collections.abc import Iterator

from connections.facts.defaults import certificates_of, design_w, is_fully_tested, rating
from connections.facts.site import Unit
from connections.remedies.edit import Edit
from connections.remedies.made_of import full_test, proposed, standard_for
from connections.remedies.option import Option, Start, option
from connections.rules.figures import listed


def tested_equipment(start: Start) -> Iterator[Option]:
    """Change only the untested lines; then also those tested to another standard."""
    lines = [(i, unit) for i, unit in proposed(start.site) if _could_be_tested(unit, start)]
    untested = [(i, unit) for i, unit in lines if not is_fully_tested(unit)]
    elsewhere = [
        (i, unit)
        for i, unit in lines
        if all(one.standard != _standard(unit, start) for one in certificates_of(unit))
    ]
    told: list[tuple[str, tuple[str, ...]]] = []
    for changed in (untested, elsewhere):
        if not changed:
            continue
        found = option(
            start,
            "tested-equipment",
            _what(changed, start),
            tested(start, changed),
            name=named_tested([u for _, u in changed]),
        )
        if found is None:
            continue
        reached = (found.proof.decided.procedure, found.proof.clears)
        if reached not in told:
            told.append(reached)
            yield found


def named_tested(units: list[Unit]) -> str:
    """The change in a few words."""
    return f"{listed([unit.id for unit in units])} fully type tested"


def tested(start: Start, lines: list[tuple[int, Unit]]) -> Edit:
    """Make these lines fully type-tested equipment of the same rating."""
    edit = Edit(start.site)
    for i, unit in lines:
        edit.unit(i, standards=full_test(_standard(unit, start)))
    return edit


def untested_lines(start: Start) -> list[tuple[int, Unit]]:
    """Proposed lines that are not fully type tested and could be."""
    return [
        (i, unit)
        for i, unit in proposed(start.site)
        if not is_fully_tested(unit) and _could_be_tested(unit, start)
    ]


def _could_be_tested(unit: Unit, start: Start) -> bool:
    """Whether equipment of this size can be fully type tested at all."""
    book = start.rules.book
    design = design_w(unit)
    if design is None:
        return False
    return "full_test.design_limit" not in book.values or design <= book.whole(
        "full_test.design_limit"
    )


def _standard(unit: Unit, start: Start) -> str:
    size = max(design_w(unit) or 0, rating(unit.rated_w) or 0)
    return standard_for(size, len(unit.phases), start.rules.book)


def _what(lines: list[tuple[int, Unit]], start: Start) -> str:
    standards = {unit.id: _standard(unit, start) for _, unit in lines}
    return "equipment of the same rating fully type tested to " + listed(
        [
            f"{standard} in place of {listed([n for n, s in standards.items() if s == standard])}"
            for standard in dict.fromkeys(standards.values())
        ]
    )
