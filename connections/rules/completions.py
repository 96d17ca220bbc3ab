"""Find every outcome that the table can give while facts are open.

`evaluate` tests the rows on ranges. If a row stays open, `possible_outcomes` splits the open facts
until each part of the space gives one outcome or no new one. So `possible` holds every outcome of
some completion. It holds one of no completion only if the search stopped at its bound, which it
reports.
"""

from collections.abc import Iterator

from msgspec import Struct

from connections.electrical.phase_sums import SCALE_PER_W
from connections.facts.deciding import BY_NAME
from connections.facts.site import LARGEST
from connections.rules.deciding_facts import (
    Setting,
    apparent_sums,
    deciding_facts,
    in_park,
    park_design,
    sums_of,
)
from connections.rules.plant import Line, Open, lowest, narrowed, value_of
from connections.rules.table import (
    ABOVE,
    AT_LEAST,
    AT_MOST,
    BELOW,
    FactValue,
    Ready,
    Test,
    holds,
)

MOST_PARTS = 3000
_MOST_BRANCHES = 4000
_NUMERIC = ("quantity", "rated", "design", "apparent")


class Evaluation(Struct, frozen=True):
    """The tested rows, up to the one that settles it.

    `row` is the index of the first row that is not false (None if all are false); `settled` is True
    if that row holds. `results` gives each tested condition's result by its slot.
    """

    row: int | None
    settled: bool
    results: list[bool | None]


class Possible(Struct, frozen=True):
    """The outcomes of all completions, and the open facts that can change the outcome."""

    outcomes: tuple[str, ...]
    unknown: tuple[str, ...]
    complete: bool


_UNTESTED = object()


def evaluate(
    ready: Ready, facts: dict[str, FactValue], inclusive: frozenset[int] = frozenset()
) -> Evaluation:
    """Test the rows in order until one is not false.

    `inclusive` names slots of ambiguous conditions that hold by the other reading.
    """
    results: list[object] = [_UNTESTED] * ready.slots
    for i, row in enumerate(ready.rows):
        outcome: bool | None = True
        for test in row.tests:
            result = results[test.slot]
            if result is _UNTESTED:
                value = facts[test.fact]
                result = results[test.slot] = test.slot in inclusive or holds(test, value)
            if result is False:
                outcome = False
            elif result is None and outcome is True:
                outcome = None
        if outcome is not False:
            return Evaluation(i, outcome is True, results)  # type: ignore[arg-type]
    return Evaluation(None, False, results)  # type: ignore[arg-type]


def outcome_at(ready: Ready, facts: dict[str, FactValue]) -> str | None:
    """The outcome at a point; None if no row holds."""
    found = evaluate(ready, facts)
    return ready.rows[found.row].outcome if found.row is not None and found.settled else None


def possible_outcomes(
    ready: Ready, setting: Setting, lines: list[Line], open_facts: list[Open]
) -> Possible:
    """Every outcome that a completion of the open facts can give, and the facts that matter.

    The search is slow; the process keeps its result under everything it reads.
    """
    key = (ready.book.digest, setting, tuple(lines), tuple(open_facts))
    kept = _kept.get(key)
    if kept is None:
        if len(_kept) >= _MOST_KEPT:
            _kept.clear()
        kept = _kept[key] = _searched(ready, setting, lines, open_facts)
    return kept


_kept: dict[tuple[object, ...], Possible] = {}
_MOST_KEPT = 1024


def _searched(
    ready: Ready, setting: Setting, lines: list[Line], open_facts: list[Open]
) -> Possible:
    found: dict[str, list[Line]] = {}
    for point in _samples(ready, lines, open_facts):
        outcome = outcome_at(ready, deciding_facts(point, setting, ready))
        if outcome is not None:
            found.setdefault(outcome, point)
    complete = _explore(ready, setting, lines, open_facts, found)
    outcomes = tuple(sorted(found, key=ready.order.__getitem__))
    unknown: tuple[str, ...] = ()
    if len(outcomes) > 1:
        unknown = _matter(ready, setting, open_facts, lines, list(found.values()))
    return Possible(outcomes, unknown, complete)


def _explore(
    ready: Ready,
    setting: Setting,
    lines: list[Line],
    open_facts: list[Open],
    found: dict[str, list[Line]],
) -> bool:
    """Split the space and add outcomes to `found`; False if the search stopped at its bound."""
    parts = [lines]
    looked = 0
    while parts:
        part = parts.pop()
        facts = deciding_facts(part, setting, ready)
        candidates = _candidates(ready, facts)
        if candidates <= found.keys():
            continue
        looked += 1
        split = _split(ready, part, open_facts) if looked <= MOST_PARTS else None
        if split is not None:
            parts.extend(split)
            continue
        point = [lowest(line) for line in part]
        for outcome in candidates:
            found.setdefault(outcome, point)
    return looked <= MOST_PARTS


def _candidates(ready: Ready, facts: dict[str, FactValue]) -> set[str]:
    """Outcomes that ranges of facts leave open, with each fact taken by itself.

    If a row is open, test the next rows with one of its open conditions false. That narrows the
    fact, so a later row with the same condition does not count as possible.
    """
    outcomes: set[str] = set()
    branches = [(0, facts)]
    count = 0
    while branches:
        start, facts = branches.pop()
        count += 1
        if count > _MOST_BRANCHES:
            return {row.outcome for row in ready.rows}
        for i in range(start, len(ready.rows)):
            row = ready.rows[i]
            open_tests: list[Test] = []
            false = False
            for test in row.tests:
                result = holds(test, facts[test.fact])
                if result is False:
                    false = True
                    break
                if result is None and all(t.slot != test.slot for t in open_tests):
                    open_tests.append(test)
            if false:
                continue
            outcomes.add(row.outcome)
            narrowed_facts = facts
            for test in open_tests:
                branches.append((i + 1, _assume(narrowed_facts, test, False)))
                narrowed_facts = _assume(narrowed_facts, test, True)
            break
    return outcomes


def _assume(facts: dict[str, FactValue], test: Test, result: bool) -> dict[str, FactValue]:
    value = facts[test.fact]
    if not isinstance(value, tuple):
        kind = BY_NAME[test.fact].kind
        if kind == "yes-no":
            return {**facts, test.fact: bool(test.limit) is result}
        return facts
    low, high = value
    limit = test.limit
    assert isinstance(limit, int)
    upper = (test.op in (AT_MOST, BELOW)) is result
    if test.op not in (AT_MOST, BELOW, AT_LEAST, ABOVE):
        return facts
    if upper:
        edge = limit if test.op in (AT_MOST, ABOVE) else limit - 1
        return {**facts, test.fact: (low, min(high, edge))}
    edge = limit + 1 if test.op in (AT_MOST, ABOVE) else limit
    return {**facts, test.fact: (max(low, edge), high)}


def _split(ready: Ready, part: list[Line], open_facts: list[Open]) -> list[list[Line]] | None:
    """Divide the first open fact: words first, then at limits, then the widest range."""
    widest: tuple[int, Open, tuple[int, int]] | None = None
    for fact in open_facts:
        value = value_of(part[fact.line], fact)
        if fact.attribute not in _NUMERIC:
            if len(value) > 1:
                return [_with(part, fact, (choice,)) for choice in value]
            continue
        low, high = value
        edge = _edge(ready, part, fact, low, high)
        if edge is not None:
            return [_with(part, fact, (low, edge)), _with(part, fact, (edge + 1, high))]
        # A design capacity is summed only for the limit of full type tests.
        width = high - low if fact.attribute != "design" or _park_open(ready, part) else 0
        if width > 0 and (widest is None or width > widest[0]):
            widest = (width, fact, value)
    if widest is None:
        return None
    _, fact, (low, high) = widest
    # Split at the geometric mean: the capacities that matter are at the low end of a wide range.
    middle = min(high - 1, max(low, int((low * high) ** 0.5)))
    return [_with(part, fact, (low, middle)), _with(part, fact, (middle + 1, high))]


_EDGES = {
    "design": ("largest_design",),
    "rated": (
        "largest_rated",
        "largest_design",
        "largest_phase_sum",
        "generation_phase_sum",
        "storage_phase_sum",
    ),
    "apparent": ("largest_phase_va",),
}


def _park_open(ready: Ready, part: list[Line]) -> bool:
    """Whether it is open if all but synchronous units are together too large for a full test."""
    low, high = park_design(part)
    return low * SCALE_PER_W <= ready.full_test_scaled < high * SCALE_PER_W


def _park_room(ready: Ready, part: list[Line], position: int) -> int:
    """The design capacity [W] that the other units leave to a line for a full test."""
    others = park_design([lowest(other) for n, other in enumerate(part) if n != position])[0]
    return ready.full_test_scaled // SCALE_PER_W - others


def _edge(ready: Ready, part: list[Line], fact: Open, low: int, high: int) -> int | None:
    """The capacity of one unit [W; apparent power scaled] at which it passes a limit between `low`
    and `high`; None if there is none."""
    line, attribute = part[fact.line], fact.attribute
    edges = [
        limit if attribute == "apparent" else limit * line.phases // SCALE_PER_W
        for name, limit in ready.numeric_limits
        if name in _EDGES.get(attribute, ())
    ]
    if attribute == "design" or (attribute == "rated" and line.design is None):
        edges.append(ready.full_test_scaled // SCALE_PER_W)
        if in_park(line):
            edges.append(_park_room(ready, part, fact.line) // max(1, line.quantity[0]))
    if attribute == "rated":
        # At the rating of a certificate alone, it counts.
        for one in line.certificates:
            edges += [] if one.rated_w is None else [one.rated_w]
    return next((e for edge in edges for e in (edge - 1, edge) if low <= e < high), None)


def _with(part: list[Line], fact: Open, to: object) -> list[Line]:
    copy = list(part)
    copy[fact.line] = narrowed(part[fact.line], fact, to)
    return copy


def _choices(ready: Ready, part: list[Line], fact: Open) -> list[object]:
    """Values of one open fact worth trying with the others fixed: words, or both sides of
    limits."""
    value = value_of(part[fact.line], fact)
    if fact.attribute not in _NUMERIC:
        return [(choice,) for choice in value]
    low, high = value
    line = part[fact.line]
    if fact.attribute == "apparent":
        return _apparent_choices(ready, part, fact.line)
    without = list(part)
    without[fact.line] = narrowed(line, fact, (0, 0))
    if fact.attribute == "rated" and line.design is None:
        without[fact.line] = narrowed(without[fact.line], fact, (0, 0))
    sums = sums_of([lowest(other) for other in without])
    held = max((sums.phases[phase][0] for phase in line.unit.phases), default=0)
    per_one = line.rated[0] if fact.attribute == "quantity" else 1
    times = line.quantity[0] if fact.attribute == "rated" else 1
    points = {low, high}
    if fact.attribute == "quantity":
        points.update(_numbers(ready, part, fact.line))
    if in_park(line):
        each = (line.design or line.rated)[0] if fact.attribute == "quantity" else line.quantity[0]
        edge = _park_room(ready, part, fact.line) // max(1, each)
        points.update((edge, edge + 1))
    points.update(one.rated_w for one in line.certificates if one.rated_w is not None)
    for name, limit in ready.numeric_limits:
        per_phase = BY_NAME[name].kind == "power-per-phase"
        scale = SCALE_PER_W // line.phases if per_phase else SCALE_PER_W
        for rest, count in (
            (0, 1),
            (held if per_phase else sums.total[0], times),
            (sums.park[0] * SCALE_PER_W, times),
        ):
            if BY_NAME[name].kind not in ("power-per-phase", "power"):
                continue
            edge = (limit - rest) // max(1, scale * per_one * count)
            points.update((edge - 1, edge, edge + 1))
    return [(p, p) for p in sorted(points) if low <= p <= min(high, LARGEST)]


def _apparent_choices(ready: Ready, part: list[Line], position: int) -> list[object]:
    """Apparent powers of one unit [scaled, each phase] on both sides of a limit."""
    line = part[position]
    assert line.apparent is not None
    low, high = line.apparent
    points = {low, high}
    for limit, phases in _apparent_limits(ready, part, position):
        edge = limit // max(1, phases * line.quantity[0])
        points.update((edge - 1, edge, edge + 1))
    return [(p, p) for p in sorted(points) if low <= p <= high]


def _numbers(ready: Ready, part: list[Line], position: int) -> set[int]:
    """Numbers of like units on both sides of a limit on apparent power or on a count."""
    line = part[position]
    edges = [limit for name, limit in ready.numeric_limits if BY_NAME[name].kind == "count"]
    if line.apparent is not None:
        for limit, phases in _apparent_limits(ready, part, position):
            edges.append(limit // max(1, phases * line.apparent[0]))
    return {edge + aside for edge in edges for aside in (-1, 0, 1)}


def _apparent_limits(ready: Ready, part: list[Line], position: int) -> Iterator[tuple[int, int]]:
    """The apparent power that limits leave to one line [scaled], and the number of its phases."""
    line = part[position]
    without = [lowest(other) for n, other in enumerate(part) if n != position]
    sums = apparent_sums(without)
    for name, limit in ready.numeric_limits:
        kind = BY_NAME[name].kind
        if kind == "apparent":
            held, phases = sum(amount for amount, _ in sums.values()), line.phases
        elif kind == "apparent-per-phase":
            held, phases = max(sums[phase][0] for phase in line.unit.phases), 1
        else:
            continue
        yield from ((limit, phases), (limit - held, phases))


def _samples(ready: Ready, lines: list[Line], open_facts: list[Open]) -> Iterator[list[Line]]:
    """Points of the open space that are likely to show different outcomes early."""
    bases = _bases(ready, lines, open_facts)
    yield from bases
    for base in bases:
        for fact in open_facts:
            opened = _with(base, fact, value_of(lines[fact.line], fact))
            for choice in _choices(ready, opened, fact):
                yield _with(base, fact, choice)


def _bases(ready: Ready, lines: list[Line], open_facts: list[Open]) -> list[list[Line]]:
    """One point for each standard that all open units could share."""
    base = [lowest(line) for line in lines]
    bases = [base]
    words = [fact for fact in open_facts if fact.attribute not in _NUMERIC]
    if not words:
        return bases
    for standard in ready.standards[1:]:
        point = list(base)
        for fact in words:
            choices = value_of(lines[fact.line], fact)
            wanted: object = {
                "tested": "full",
                "standards": standard,
                "early": standard != "other",
            }[fact.attribute]
            if wanted in choices:
                point[fact.line] = narrowed(point[fact.line], fact, (wanted,))
        bases.append(point)
    return bases


def _matter(
    ready: Ready,
    setting: Setting,
    open_facts: list[Open],
    lines: list[Line],
    points: list[list[Line]],
) -> tuple[str, ...]:
    """Paths of the open facts that can change the outcome alone at one of the points."""
    found: list[str] = []
    bases = [*points, *_bases(ready, lines, open_facts)]
    for fact in open_facts:
        for base in bases:
            opened = _with(base, fact, value_of(lines[fact.line], fact))
            seen = {
                outcome_at(ready, deciding_facts(_with(base, fact, choice), setting, ready))
                for choice in _choices(ready, opened, fact)
            }
            if len(seen) > 1:
                found.append(fact.path)
                break
    return tuple(found) or tuple(fact.path for fact in open_facts)
