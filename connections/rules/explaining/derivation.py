"""The whole derivation of a decision: facts, comparisons row by row, values, steps and findings.

    for line in lines_of(derivation(decide(site, book))):
        print(line)

This module decides nothing. It puts the results of `decide` in order and into words, and gives the
value behind every comparison, its layer, and the values of the layers beneath.
"""

from collections.abc import Iterator

from connections.facts.deciding import DECIDING_FACTS
from connections.facts.decision import Comparison
from connections.facts.derivation import (
    CapLookedAt,
    Compared,
    ConditionAsked,
    Derivation,
    FindingMade,
    LayerSaid,
    LayerUsed,
    RowTried,
    StepFollowed,
    ValueUsed,
)
from connections.rulebook.book import Rulebook, StepRule, Value
from connections.rulebook.difference.sentences import cap_in_words
from connections.rulebook.telling import (
    amount_in_words,
    certainty_in_words,
    day_in_words,
    layer_title,
    origin,
    small,
    subject,
)
from connections.rules.case import Case, title_of
from connections.rules.comparing.conditions import compared
from connections.rules.decide import UNDETERMINED, Decided
from connections.rules.explaining.facts import capital, fact_in_words, fact_used, read_at
from connections.rules.figures import in_unit, listed, plural
from connections.rules.places import place_of, where_capped
from connections.rules.table import (
    ABOVE,
    AT_LEAST,
    AT_MOST,
    BELOW,
    ReadyRow,
    Test,
    holds,
    let_in,
)

_WORDS = {AT_MOST: "at most", BELOW: "below", AT_LEAST: "at least", ABOVE: "above"}


def derivation(decided: Decided) -> Derivation:
    """Derive a decision from the facts of the site to its procedure, steps and findings."""
    case = decided.case
    book = case.ready.book
    last = case.evaluation.row
    rows = case.ready.rows if last is None else case.ready.rows[: last + 1]
    steps = tuple(_steps(case))
    asked = {test.fact for row in rows for test in row.tests}
    conditions = tuple(_conditions(case))
    beside = [c for step in steps for c in step.comparisons]
    beside += [c for condition in conditions for c in condition.comparisons]
    asked |= {c.fact for c in beside}
    made = tuple(_row(case, row) for row in rows)
    findings = tuple(_findings(decided))
    keys = [key for row in made for c in row.comparisons for key in (c.key, c.reading)]
    keys += [key for step in steps for key in step.keys]
    keys += [key for c in beside for key in (c.key, c.reading)]
    keys += [key for finding in findings for key in finding.keys]
    return Derivation(
        reference=case.site.reference,
        on_date=case.site.on_date,
        area=book.area,
        edition=book.edition,
        digest=book.digest,
        layers=tuple(LayerUsed(layer.key, layer.title, layer.digest) for layer in book.layers),
        facts=tuple(fact_used(case, fact.name) for fact in DECIDING_FACTS if fact.name in asked),
        rows=made,
        settled_by=next((row.id for row in made if row.settles), ""),
        procedure=case.outcome,
        title=_title(case),
        possible=case.possible.outcomes if case.outcome == UNDETERMINED else (case.outcome,),
        unknown=case.possible.unknown,
        steps=steps,
        findings=findings,
        values=tuple(value_used(book, key) for key in dict.fromkeys(keys) if key in book.values),
        sentence=_outcome_in_words(case),
        conditions=conditions,
        caps=tuple(_caps(case)),
    )


def value_used(book: Rulebook, key: str) -> ValueUsed:
    """A value of a rulebook with its layer and the values of the layers beneath.

    Raises KeyError if the rulebook lacks it.
    """
    value = book.values[key]
    won = _said(book, value)
    beneath = tuple(_said(book, lower) for lower in book.beneath.get(key, ()))
    told = (
        f"{key}, {small(subject(value))}: {won.written} since {day_in_words(won.since)} "
        f"({origin(won.source, won.certainty)}; checked {day_in_words(value.checked)}), "
        f"from {won.title}."
    )
    for lower in beneath:
        told += f" It replaces {lower.written} from {lower.title} ({_origin_of(lower)})."
    return ValueUsed(
        key=key,
        says=value.says,
        unit=value.unit,
        won=won,
        beneath=beneath,
        checked=value.checked,
        note=value.note,
        sentence=told,
    )


def lines_of(told: Derivation) -> Iterator[str]:
    """The derivation as lines of plain text, with a heading before each part."""
    yield f"{told.reference}, as on {day_in_words(told.on_date)}"
    yield told.sentence
    layers = listed([layer.title for layer in told.layers])
    yield f"Rulebook: {told.edition}; layers from the lowest: {layers}; digest {told.digest}."
    yield ""
    yield "Facts"
    for fact in told.facts:
        yield f"- {fact.sentence}"
        if fact.workings:
            yield f"  {fact.workings}"
    yield ""
    yield "Rows of the decision table, in the order in which they are tried"
    for row in told.rows:
        yield f"- {row.sentence}"
        yield from (f"  - {comparison.sentence}" for comparison in row.comparisons)
    if told.steps:
        yield ""
        yield "Steps"
        for step in told.steps:
            yield f"- {step.sentence}"
            yield from (f"  - {comparison.sentence}" for comparison in step.comparisons)
    if told.conditions or told.caps:
        yield ""
        yield "Extra conditions, and caps on export by place"
        for condition in told.conditions:
            yield f"- {condition.sentence}"
            yield from (f"  - {comparison.sentence}" for comparison in condition.comparisons)
        yield from (f"- {cap.sentence}" for cap in told.caps)
    if told.findings:
        yield ""
        yield "Findings"
        for finding in told.findings:
            told_of = f"{finding.sentence} {finding.workings}".strip()
            yield f"- {finding.id} ({finding.severity}): {told_of}"
            if finding.keys:
                yield f"  Values: {', '.join(finding.keys)}."
    yield ""
    yield "Values of the rulebook"
    for value in told.values:
        yield f"- {value.sentence}"
        if value.note:
            yield f"  {value.note}"


def _title(case: Case) -> str:
    if case.missing is not None:
        return "Not determined: the rule is not held"
    if case.outcome == UNDETERMINED:
        return "Not yet determined"
    return title_of(case, case.outcome)


def _outcome_in_words(case: Case) -> str:
    last = case.evaluation.row
    if case.outcome != UNDETERMINED:
        assert last is not None
        row = case.ready.rows[last]
        if case.evaluation.settled and not case.possible.unknown:
            told = f"{_title(case)}: row {row.id} is the first that holds."
        else:
            told = f"{_title(case)}: whatever the missing facts are, row {row.id} gives it."
        if case.other_reading:
            other = title_of(case, case.other_reading)
            told += f" Read the other way it would be: {other}."
        return told
    if case.missing is not None and last is not None:
        return (
            f"Not determined: row {case.ready.rows[last].id} is the first that holds, and this "
            f"rulebook does not hold the rule on {case.missing.missing}; ask {case.missing.ask}."
        )
    if last is None:
        return "Not yet determined: no row of the table holds for this site."
    row = case.ready.rows[last]
    could = listed([title_of(case, outcome) for outcome in case.possible.outcomes], "or")
    missing = listed(case.possible.unknown)
    told = f"Not yet determined: row {row.id} can't be told"
    if missing:
        told += f" without {missing}"
    return f"{told}; it could be: {could}." if could else f"{told}."


def _row(case: Case, row: ReadyRow) -> RowTried:
    rule = case.ready.book.table[row.row_index]
    results = [case.evaluation.results[test.slot] for test in row.tests]
    result = False if False in results else None if None in results else True
    determined = case.outcome != UNDETERMINED or case.missing is not None
    settles = determined and row.row_index == case.evaluation.row
    title = title_of(case, row.outcome)
    failed = results.count(False)
    if result is True:
        said = f"holds, so it is: {title}"
    elif result is False:
        said = f"does not hold: {failed} of {plural(len(results), 'condition')} " + (
            "fails" if failed == 1 else "fail"
        )
    elif settles:
        said = f"holds whatever the missing facts are, so it is: {title}"
    else:
        said = f"can't be told: {results.count(None)} of {plural(len(results), 'condition')} can't"
    return RowTried(
        id=row.id,
        outcome=row.outcome,
        title=title,
        result=result,
        settles=settles,
        comparisons=tuple(
            _compared(case, test, result) for test, result in zip(row.tests, results, strict=True)
        ),
        source=str(rule.source),
        clause=rule.source.clause,
        certainty=rule.certainty,
        sentence=f"Row {row.id} {said} ({origin(rule.source, rule.certainty)}).",
    )


def _compared(case: Case, test: Test, result: bool | None) -> Compared:
    made = compared(case, test, result)
    condition = test.condition
    assert not isinstance(made.value, dict)
    assert not isinstance(made.limit, dict)
    return Compared(
        fact=made.fact,
        op=made.op,
        key=made.key,
        reading=condition.reading,
        value=made.value,
        limit=made.limit,
        unit=made.unit,
        margin=made.margin,
        result=result,
        source=made.source,
        certainty=made.certainty,
        layer=made.layer,
        sentence=f"{_comparison_in_words(case, test, made)}{_behind(case, test, made)}.",
    )


def _comparison_in_words(case: Case, test: Test, made: Comparison) -> str:
    """ "The aggregate ...: 43.478 A is not at most 16 A, 27.479 A too much"."""
    fact = next(fact for fact in DECIDING_FACTS if fact.name == test.fact)
    shown = fact_in_words(case, test.fact, made.unit)
    head = f"{capital(fact.says)}: {shown}"
    if made.limit is None:
        return f"{head}; can't be told, for the rulebook has no {made.key}"
    wanted = _wanted(test, made)
    if fact.kind in ("yes-no", "word"):
        if made.result is None:
            return f"{head}, where {wanted} is wanted"
        return f"{head}, as wanted" if made.result else f"{head}, where {wanted} is wanted"
    if made.value is None and shown == "none":
        return f"{head}, where {wanted} is wanted"
    if made.result is None:
        return f"{head}; whether it is {wanted} can't be told"
    return f"{head} is {'' if made.result else 'not '}{wanted}{_margin(case, test, made)}"


def _wanted(test: Test, made: Comparison) -> str:
    limit = made.limit
    if isinstance(limit, list):
        return f"one of {listed(limit, 'or')}" if len(limit) != 1 else limit[0]
    if isinstance(limit, bool):
        return "yes" if limit else "no"
    if isinstance(limit, int):
        shown = in_unit(limit, "" if made.unit == "count" else made.unit)
        return f"{_WORDS.get(test.op, '')} {shown}".strip()
    return str(limit)


def _margin(case: Case, test: Test, made: Comparison) -> str:
    """The margin in words: to spare, or the excess; rounding never flatters."""
    raw = case.facts[test.fact]
    margin = made.margin
    let = f", which the text can be read to let in ({test.condition.reading} is strict)"
    if margin is None or not isinstance(raw, tuple):
        return let if let_in(test, raw) else ""
    if raw[0] == test.limit:
        return ", exactly at it" + (let if test.ambiguous else "")
    shown = in_unit(abs(margin), "" if made.unit == "count" else made.unit)
    upper = test.op in (AT_MOST, BELOW)
    if margin == 0:
        return f", less than 1 {made.unit} to spare"
    if margin > 0:
        return f", {shown} to spare" if upper else f", {shown} above it"
    return f", {shown} too much" if upper else f", {shown} too little"


def _behind(case: Case, test: Test, made: Comparison) -> str:
    """The key with its source and certainty, and the layer if it overrides another."""
    if not made.key:
        return ""
    book = case.ready.book
    if made.key not in book.values:
        return ""
    told = f"{made.key}: {origin(made.source, made.certainty)}"
    if lower := book.beneath.get(made.key):
        was = amount_in_words(lower[0])
        told += f"; {layer_title(book, made.layer)} in place of {was}"
    return f" ({told})"


def _steps(case: Case) -> Iterator[StepFollowed]:
    """Every step of the rulebook for the outcome, also if its conditions fail."""
    book = case.ready.book
    for each in case.ready.steps.get(case.outcome, ()):
        rule, tests = each.rule, each.tests
        results = [holds(test, case.facts[test.fact]) for test in tests]
        result = False if False in results else None if None in results else True
        yield StepFollowed(
            id=rule.id,
            says=rule.says,
            result=result,
            comparisons=tuple(
                _compared(case, test, one) for test, one in zip(tests, results, strict=True)
            ),
            keys=tuple(key for key in (rule.form, rule.limit) if key),
            source=str(rule.source),
            clause=rule.source.clause,
            certainty=rule.certainty,
            layer=_layer_of(book, rule),
            sentence=_step_in_words(case, rule, result),
        )


def _layer_of(book: Rulebook, rule: StepRule) -> str:
    layers = book.given_by.get(f"step {rule.id}")
    if layers:
        return layers[0]
    # A kept rulebook does not tell the layer of a step, unless it has only one layer.
    return book.key if len(book.layers) == 1 else ""


def _step_in_words(case: Case, rule: StepRule, result: bool | None) -> str:
    book = case.ready.book
    told = f"{rule.says}"
    if rule.limit and rule.limit in book.values:
        limit = book.values[rule.limit]
        behind = origin(limit.source, certainty_in_words(book, limit))
        told += f" Time: {amount_in_words(limit)} ({rule.limit}: {behind})."
    if result is False:
        told = f"Not needed here: {told}"
    elif result is None:
        told = f"Perhaps needed: {told}"
    return f"{told} Source: {origin(rule.source, rule.certainty)}."


def _conditions(case: Case) -> Iterator[ConditionAsked]:
    """Every extra condition of the rulebook, also if it does not hold for the site."""
    for extra, tests in case.ready.extras:
        results = [holds(test, case.facts[test.fact]) for test in tests]
        result = False if False in results else None if None in results else True
        head = {True: "Asked here", False: "Not asked here", None: "Perhaps asked here"}[result]
        yield ConditionAsked(
            id=extra.id,
            says=extra.says,
            asks=extra.asks,
            severity=extra.severity,
            result=result,
            comparisons=tuple(
                _compared(case, test, one) for test, one in zip(tests, results, strict=True)
            ),
            source=str(extra.source),
            clause=extra.source.clause,
            certainty=extra.certainty,
            layer=extra.layer,
            sentence=(
                f"{head}: {extra.says} {extra.asks} Condition {extra.id} of "
                f"{layer_title(case.ready.book, extra.layer)}; source: "
                f"{origin(extra.source, extra.certainty)}."
            ),
        )


def _caps(case: Case) -> Iterator[CapLookedAt]:
    """Every cap on export by place, and how it applies to the site."""
    book = case.ready.book
    feeder, sector = place_of(case.site) if book.caps else ("", "")
    for cap in book.caps:
        where = where_capped(cap, feeder, sector)
        if where:
            told = "holds for this site"
        elif (cap.feeders and not feeder) or (cap.postcode_sectors and not sector):
            told = "may hold for this site, of which the feeder or the postcode isn't known"
        else:
            told = "does not hold for this site"
        yield CapLookedAt(
            id=cap.id,
            says=cap.says,
            written=cap.written,
            where=where,
            source=str(cap.source),
            clause=cap.source.clause,
            certainty=cap.certainty,
            layer=cap.layer,
            sentence=(
                f"The cap on export {cap.id}, {cap_in_words(cap)}, {told}. "
                f"{cap.says} From {layer_title(book, cap.layer)}; source: "
                f"{origin(cap.source, cap.certainty)}."
            ),
        )


def _findings(decided: Decided) -> Iterator[FindingMade]:
    case = decided.case
    for found in decided.findings:
        sentence, workings = found.words()
        yield FindingMade(
            id=found.id,
            subject=found.subject,
            severity=found.severity,
            sentence=sentence,
            workings=workings,
            keys=tuple(key for key in found.keys if key in case.ready.book.values),
            read=tuple(read_at(case, path) for path, _ in found.read),
        )


def _said(book: Rulebook, value: Value) -> LayerSaid:
    return LayerSaid(
        layer=value.layer,
        title=layer_title(book, value.layer),
        written=amount_in_words(value),
        since=value.since,
        source=str(value.source),
        clause=value.source.clause,
        certainty=certainty_in_words(book, value),
    )


def _origin_of(said: LayerSaid) -> str:
    return origin(said.source, said.certainty)
