"""Check that the parts of a rulebook fit together: keys, units, facts, outcomes and layers."""

from collections.abc import Iterable, Mapping

from connections.facts.deciding import BY_NAME, FactKind
from connections.rulebook.book import UNSURE, Condition, ExtraCondition
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import PERIOD_UNITS, DatedValue, Part
from connections.rulebook.words import READINGS, WORDS

Values = Mapping[str, DatedValue]

_NO_VALUE = 'there is no value "{}"; check its spelling'

_FITTING_OPS: dict[FactKind, tuple[str, ...]] = {
    "power-per-phase": ("at_most", "below", "at_least", "above"),
    "power": ("at_most", "below", "at_least", "above"),
    "apparent-per-phase": ("at_most", "below", "at_least", "above"),
    "apparent": ("at_most", "below", "at_least", "above"),
    "peak": ("at_most", "below", "at_least", "above"),
    "count": ("at_most", "below", "at_least", "above", "is"),
    "yes-no": ("is",),
    "word": ("is", "one_of"),
}
_FITTING_UNITS: dict[FactKind, tuple[str, ...]] = {
    "power-per-phase": ("mA", "W"),
    "power": ("W",),
    "apparent-per-phase": ("mA", "VA"),
    "apparent": ("VA",),
    "peak": ("Wp",),
    "count": ("count",),
    "yes-no": ("yes-no",),
    "word": ("text", "list"),
}


def check_edition(part: Part) -> None:
    """Refuse an edition whose table or steps name something missing.

    A key in the table or a step must hold from the edition's first day on without a break, and must
    not be for reference.
    """
    _check_outcomes(part)
    for row in part.rows:
        place = _place(part, f"row {row.id}")
        for condition in row.when:
            _check_condition(condition, part.values, place)
        if row.switch:
            _check_unit(row.switch, ("yes-no",), part.values, place, "; it is a row's switch")
    _check_steps(part, part, part.values)
    for key in asked_keys(part):
        spells = part.values[key].spells
        place = _place(part, f"value {key}")
        if spells[0].since > part.since or any(spell.until for spell in spells):
            place.refuse(
                f"the table or a step asks for it, so it must hold from {part.since} on "
                "without a break"
            )
    _refuse_asked_reference(part, part.values)
    _check_outlook(part)


def check_layer(layer: Part, edition: Part, below: Values) -> None:
    """Refuse an operator's or local file that does not fit the edition and layers `below`."""
    for key, value in layer.values.items():
        lower = below.get(key)
        if lower and lower.unit != value.unit:
            _place(layer, f"value {key}").refuse(
                f'it is in "{value.unit}", but "{lower.unit}" in {lower.file}; use that unit'
            )
        if lower and layer.kind == "operator" and lower.reference != value.reference:
            for_reference, other = (
                (value.file, lower.file) if value.reference else (lower.file, value.file)
            )
            _place(layer, f"value {key}").refuse(
                f"it is for reference in {for_reference}, but not in {other}; say the same in both"
            )
    merged = {**below, **layer.values}
    conditions = [c for row in edition.rows for c in row.when]
    conditions += [c for step in edition.steps for c in step.only_if]
    for condition in conditions:
        if named := {condition.against, condition.reading} & layer.values.keys():
            _check_condition(condition, merged, _place(layer, f"value {min(named)}"))
    _check_steps(layer, edition, merged)
    if layer.kind == "operator":
        _refuse_asked_reference(layer, merged)
    for dated in layer.conditions:
        if keys_of(dated.condition) <= merged.keys():
            file = layer.places[f"condition {dated.condition.id}"]
            for n, condition in enumerate(dated.condition.when, 1):
                place = _Place(file, f"condition {dated.condition.id}: when {n}")
                _check_condition(condition, merged, place)


def keys_of(extra: ExtraCondition) -> set[str]:
    """The keys of the values that an extra condition names.

    An edition that lacks one of them does not ask the condition.
    """
    return {key for c in extra.when for key in (c.against, c.reading)} - {""}


def asked_keys(part: Part) -> set[str]:
    """Keys of all values that the part's rows and steps name."""
    conditions = [c for row in part.rows for c in row.when]
    conditions += [c for step in part.steps for c in step.only_if]
    keys = {key for c in conditions for key in (c.against, c.reading)}
    keys |= {row.switch for row in part.rows}
    keys |= {key for step in part.steps for key in (step.form, step.limit)}
    return keys - {""}


def _refuse_asked_reference(part: Part, values: Values) -> None:
    """Refuse a file whose rows, steps or conditions use a value kept for reference."""
    asked = asked_keys(part).union(*(keys_of(dated.condition) for dated in part.conditions))
    for key in sorted(asked & values.keys()):
        if values[key].reference:
            raise RulebookError(
                values[key].file,
                f"value {key}",
                f"it is for reference, yet {_who_asks(part, key)} names it; take `reference` away",
            )


def _who_asks(part: Part, key: str) -> str:
    """The first row, step or condition of a file that names a value."""
    for row in part.rows:
        if key == row.switch or _names(row.when, key):
            return f"row {row.id}"
    for step in part.steps:
        if key in (step.form, step.limit) or _names(step.only_if, key):
            return f"step {step.id}"
    return next(
        f"condition {dated.condition.id}"
        for dated in part.conditions
        if _names(dated.condition.when, key)
    )


def _names(conditions: Iterable[Condition], key: str) -> bool:
    return any(key in (condition.against, condition.reading) for condition in conditions)


class _Place:
    def __init__(self, file: str, key: str) -> None:
        self.file = file
        self.key = key

    def refuse(self, fault: str) -> None:
        raise RulebookError(self.file, self.key, fault)


def _place(part: Part, what: str) -> _Place:
    return _Place(part.places[what], what)


def _check_outcomes(part: Part) -> None:
    order = [outcome.key for outcome in part.outcomes]
    last = 0
    for row in part.rows:
        place = _place(part, f"row {row.id}")
        if row.outcome not in order:
            place.refuse(f'its outcome "{row.outcome}" does not exist')
        if order.index(row.outcome) < last:
            place.refuse(f'its outcome "{row.outcome}" comes before that of the row above')
        last = order.index(row.outcome)


def _check_outlook(part: Part) -> None:
    """Refuse a key that does not exist, and one that waits for two documents or for none."""
    for expected in part.expected:
        for key in expected.keys:
            if key not in part.values:
                _place(part, f"expected {expected.id}").refuse(_NO_VALUE.format(key))
    waits: dict[str, str] = {}
    for awaited in part.awaited:
        place = _place(part, f"awaited {awaited.document.document}")
        for key in awaited.keys:
            if key not in part.values:
                place.refuse(_NO_VALUE.format(key))
            elif not any(s.certainty in UNSURE for s in part.values[key].spells):
                place.refuse(f"{key} is neither secondary nor from memory; take it off the list")
            elif key in waits:
                place.refuse(f"{key} waits for {waits[key]} already; keep one of the two")
            waits[key] = awaited.document.document


def _check_steps(part: Part, edition: Part, values: Values) -> None:
    order = {outcome.key for outcome in edition.outcomes}
    for step in part.steps:
        place = _place(part, f"step {step.id}")
        for outcome in step.outcomes:
            if outcome not in order:
                place.refuse(f'the outcome "{outcome}" does not exist')
        if step.form:
            _check_unit(step.form, ("text",), values, place)
        if step.limit:
            _check_unit(step.limit, PERIOD_UNITS, values, place)
        for condition in step.only_if:
            _check_condition(condition, values, place)


def _check_condition(condition: Condition, values: Values, place: _Place) -> None:
    fact = BY_NAME.get(condition.fact)
    if fact is None:
        place.refuse(f'"{condition.fact}" is not a fact that conditions may ask about')
        return
    if condition.op not in _FITTING_OPS[fact.kind]:
        place.refuse(f"{fact.name} is {_a(fact.kind)}, which `{condition.op}` can't compare")
    if condition.against:
        units = _FITTING_UNITS[fact.kind]
        if fact.kind == "word":
            units = ("list",) if condition.op == "one_of" else ("text",)
        _check_unit(condition.against, units, values, place, f"; {fact.name} is {_a(fact.kind)}")
        if fact.kind == "word":
            for spell in values[condition.against].spells:
                _check_words(fact.name, spell.amount, place)
    else:
        _check_literal(condition, fact.kind, place)
    if condition.reading:
        _check_unit(condition.reading, ("text",), values, place)
        for spell in values[condition.reading].spells:
            if spell.amount not in READINGS:
                place.refuse(f"{condition.reading} must be one of {', '.join(READINGS)}")


def _check_literal(condition: Condition, kind: FactKind, place: _Place) -> None:
    literal = condition.literal
    if kind == "word":
        _check_words(condition.fact, literal, place)
    elif kind == "yes-no" and not isinstance(literal, bool):
        place.refuse(f"{condition.fact} is a yes-no fact; compare it with true or false")
    elif kind == "count" and (isinstance(literal, bool) or not isinstance(literal, int)):
        place.refuse(f"{condition.fact} is a count; compare it with a whole number")


def _check_words(fact: str, amount: object, place: _Place) -> None:
    words = amount if isinstance(amount, tuple) else (amount,)
    for word in words:
        if word not in WORDS.get(fact, ()):
            place.refuse(f'{fact} is never "{word}"; it is one of {_listed(WORDS.get(fact, ()))}')


def _check_unit(
    key: str, units: Iterable[str], values: Values, place: _Place, why: str = ""
) -> None:
    value = values.get(key)
    if value is None:
        place.refuse(_NO_VALUE.format(key))
    elif value.unit not in units:
        place.refuse(f'{key} is in "{value.unit}", where {_listed(units)} is wanted{why}')


def _a(kind: FactKind) -> str:
    return f"a {kind.replace('-per-', ' per ')}"


def _listed(words: Iterable[str]) -> str:
    return " or ".join(f'"{word}"' for word in words)
