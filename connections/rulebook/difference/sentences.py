"""One sentence for each difference between two rulebooks."""

import datetime as dt
import re
from collections.abc import Sequence

from msgspec import Struct

from connections.facts.deciding import BY_NAME
from connections.rulebook.book import (
    Area,
    Condition,
    ExportCap,
    ExtraCondition,
    Outcome,
    Rulebook,
    Setting,
    SettingTable,
    StepRule,
    TableRow,
    Value,
)
from connections.rulebook.schema import PERIOD_UNITS
from connections.rulebook.telling import (
    amount_in_words,
    day_in_words,
    origin,
    place_in_words,
    small,
    subject,
)

_STANDS_FOR = re.compile(
    r"\bthis (?:time|long|share|distance|frequency|voltage|length|multiple|day|demand"
    r"|rate of change of frequency)\b"
    r"|(?<=[Aa]bove )this\b|(?<=[Bb]elow )this\b|(?<= than )this\b"
)
"""Words that stand for the amount in the sentence of a value."""

_OPS = {
    "at_most": "at most",
    "below": "below",
    "at_least": "at least",
    "above": "above",
    "is": "is",
    "one_of": "one of",
}
_FIELDS = {
    "outcomes": "the outcomes that it follows",
    "when": "when it is taken",
    "what": "what is sent",
    "form": "its form",
    "wait": "whether to wait for the answer",
    "limit": "its time limit",
    "limit_from": "what its time runs from",
    "attachments": "what goes with it",
    "only_if": "its conditions",
    "says": "its words",
    "title": "its title",
    "serves": "the form that it serves",
    "source": "its source",
    "certainty": "its certainty",
    "note": "its note",
    "standard": "its standard",
    "voltage_level": "its voltage level",
    "operating_mode": "its operating mode",
    "checked": "the day on which it was checked",
    "applies_to": "what it applies to",
    "name": "its name",
    "prefix": "its prefix",
    "independent": "whether it is an independent network",
    "nation": "its nation",
    "severity": "its severity",
    "asks": "what is asked",
    "since": "its first day",
    "layer": "the layer that gives it",
    "missing": "the rule that is not held",
    "ask": "whom to ask",
}


def changed_value_sentence(
    was: Value, now: Value, parts: Sequence[str], since: dt.date | None
) -> str:
    """ "From 1 January 2027 the operator answers within 3 working days instead of 5 (...)." """
    behind = origin(now.source, now.certainty)
    if "amount" in parts:
        told = _from(since) + _with_amount(now, _instead(was, now), since is None)
        if (was.source, was.certainty) != (now.source, now.certainty):
            behind += f"; before: {origin(was.source, was.certainty)}"
        return f"{told} ({behind})."
    head = f"{now.key} stays {amount_in_words(now)}"
    if tuple(parts) == ("checked",):
        day = day_in_words(now.checked)
        return f"{head}; it was checked again on {day} ({behind})."
    if tuple(parts) == ("layer",):
        return f"{head}; it is now given by {now.layer} instead of {was.layer} ({behind})."
    named = _listed([_FIELDS.get(part, part) for part in parts])
    more = ""
    if "source" in parts or "certainty" in parts:
        more = f"; before: {origin(was.source, was.certainty)}"
    return f"{_from(since)}{head}, with a change of {named} ({behind}{more})."


def one_value_sentence(value: Value, since: dt.date | None, *, ended: bool) -> str:
    """Sentence for a new or ended value."""
    behind = origin(value.source, value.certainty)
    amount = amount_in_words(value)
    if ended:
        head = f"{_from(since)}there is no longer a value {value.key}"
        told = f"{head} ({small(subject(value))}; it was {amount}; {behind})"
        return f"{_capital(told)}."
    told = f"{_from(since)}new is {value.key}, {small(subject(value))}: {amount} ({behind})"
    return f"{_capital(told)}."


def row_sentence(
    was: TableRow | None,
    now: TableRow | None,
    before: Rulebook,
    after: Rulebook,
    since: dt.date | None,
) -> str:
    """Sentence for a row of the decision table."""
    if now is None:
        assert was is not None
        return _sentence(since, f'row {was.id} ("{_title(before, was.outcome)}") is gone', was)
    if was is None:
        conditions = _listed([condition_in_words(c, after) for c in now.when])
        told = f'row {now.id} is new: "{_title(after, now.outcome)}" if {conditions}'
        return _sentence(since, told, now)
    parts: list[str] = []
    if was.outcome != now.outcome:
        parts.append(
            f'gives "{_title(after, now.outcome)}" instead of "{_title(before, was.outcome)}"'
        )
    if added := [condition_in_words(c, after) for c in now.when if c not in was.when]:
        parts.append(f"also asks for {_listed(added)}")
    if gone := [condition_in_words(c, before) for c in was.when if c not in now.when]:
        parts.append(f"no longer asks for {_listed(gone)}")
    if not parts and was.when != now.when:
        parts.append("asks for the same in another order")
    if was.source != now.source or was.certainty != now.certainty:
        parts.append(f"stood before on {origin(was.source, was.certainty)}")
    if was.switch != now.switch:
        parts.append(f"is switched by {now.switch}" if now.switch else "is switched by no value")
    return _sentence(since, f"row {now.id} {_listed(parts)}", now)


def outcome_sentence(
    was: Outcome | None,
    now: Outcome | None,
    before: Rulebook,
    after: Rulebook,
    since: dt.date | None,
) -> str:
    """Sentence for an outcome of the decision table."""
    if now is None:
        assert was is not None
        return _capital(f'{_from(since)}outcome {was.key} ("{was.title}") is gone.')
    if was is None:
        told = f'{_from(since)}outcome {now.key} is new: "{now.title}", {small(now.says)}'
        return _capital(told)
    return _capital(f"{_from(since)}outcome {now.key} has a change of {_changed(was, now)}.")


def step_sentence(
    was: StepRule | None,
    now: StepRule | None,
    before: Rulebook,
    after: Rulebook,
    since: dt.date | None,
) -> str:
    """Sentence for a step."""
    if now is None:
        assert was is not None
        return _sentence(since, f"step {was.id} is gone ({_inner(was.says)})", was)
    if was is None:
        return _sentence(since, f"step {now.id} is new ({_inner(now.says)})", now)
    told = f"step {now.id} has a change of {_changed(was, now)}"
    if was.says != now.says:
        told += f'; it says "{now.says}" instead of "{was.says}"'
    if was.limit != now.limit:
        told += f"; its time limit is {_period(now, after)} instead of {_period(was, before)}"
    return _sentence(since, told, now)


def settings_sentence(
    was: SettingTable | None,
    now: SettingTable | None,
    before: Rulebook,
    after: Rulebook,
    since: dt.date | None,
) -> str:
    """Sentence for a table of interface protection settings."""
    if now is None:
        assert was is not None
        return _sentence(since, f"setting table {was.id} is gone ({_inner(was.says)})", was)
    if was is None:
        return _sentence(since, f"setting table {now.id} is new ({_inner(now.says)})", now)
    old = {(s.function, s.stage): s for s in was.settings}
    new = {(s.function, s.stage): s for s in now.settings}
    told = []
    for place in dict.fromkeys((*new, *old)):
        a, b = old.get(place), new.get(place)
        if a == b:
            continue
        name = f"{place[0]} stage {place[1]}"
        if a is not None and b is not None:
            told.append(f"{name} {_setting(b)} instead of {_setting(a)}")
        elif b is not None:
            told.append(f"{name} {_setting(b)}, which is new")
        else:
            told.append(f"{name} is gone")
    others = [n for n in _changed_names(was, now) if n != "settings"]
    if others:
        told.append(f"a change of {_listed([_FIELDS.get(n, n) for n in others])}")
    return _sentence(since, f"setting table {now.id} has {_listed(told)}", now)


def area_sentence(
    was: Area | None, now: Area | None, before: Rulebook, after: Rulebook, since: dt.date | None
) -> str:
    """Sentence for a licence area or an independent operator's prefix."""
    if now is None:
        assert was is not None
        return _sentence(since, f"area {was.id} ({was.name}) is gone", was)
    if was is None:
        return _sentence(since, f"area {now.id} ({now.name}) is new", now)
    return _sentence(since, f"area {now.id} has a change of {_changed(was, now)}", now)


def cap_sentence(
    was: ExportCap | None,
    now: ExportCap | None,
    before: Rulebook,
    after: Rulebook,
    since: dt.date | None,
) -> str:
    """Sentence for a cap on export by place."""
    if now is None:
        assert was is not None
        return _sentence(since, f"the cap on export {was.id} ends ({cap_in_words(was)})", was)
    if was is None:
        return _sentence(since, f"the cap on export {now.id} is new: {cap_in_words(now)}", now)
    if (told := cap_in_words(now)) != cap_in_words(was):
        return _sentence(
            since, f"the cap on export {now.id} is {told} instead of {cap_in_words(was)}", now
        )
    return _sentence(
        since, f"the cap on export {now.id} ({told}) has a change of {_changed(was, now)}", now
    )


def extra_sentence(
    was: ExtraCondition | None,
    now: ExtraCondition | None,
    before: Rulebook,
    after: Rulebook,
    since: dt.date | None,
) -> str:
    """Sentence for an extra condition."""
    if now is None:
        assert was is not None
        return _sentence(since, f"the condition {was.id} ends ({_inner(was.says)})", was)
    if was is None:
        told = f"the condition {now.id} is new: {_inner(now.says)}"
        if now.when:
            told += f"; for sites with {_listed([condition_in_words(c, after) for c in now.when])}"
        return _sentence(since, f"{told}; it asks: {_inner(now.asks)}", now)
    return _sentence(since, f"the condition {now.id} has a change of {_changed(was, now)}", now)


def order_sentence(was: Sequence[str], now: Sequence[str], since: dt.date | None) -> str:
    """Sentence for rows in another order."""
    told = f"rows are tried in the order {', '.join(now)} instead of {', '.join(was)}"
    return _capital(f"{_from(since)}{told}.")


def _from(since: dt.date | None) -> str:
    return f"From {day_in_words(since)} " if since else ""


def _sentence(since: dt.date | None, told: str, thing: object) -> str:
    source, certainty = getattr(thing, "source", ""), getattr(thing, "certainty", "")
    return _capital(f"{_from(since)}{told} ({origin(source, certainty)}).")


def _with_amount(value: Value, amount: str, at_start: bool) -> str:
    """The value's sentence with its amount: in place of "this time" and the like, or at the end."""
    told = subject(value)
    put, count = _STANDS_FOR.subn(lambda _: amount, told, count=1)
    told = put if count else f"{told}: {amount}"
    return told if at_start else small(told)


def _instead(was: Value, now: Value) -> str:
    """ "3 working days instead of 5", "20 A instead of 16 A"."""
    new, old = amount_in_words(now), amount_in_words(was)
    if now.unit == was.unit and now.unit in PERIOD_UNITS:
        number, _, unit = old.partition(" ")
        if unit and unit == new.partition(" ")[2]:
            old = number
    return f"{new} instead of {old}"


def condition_in_words(condition: Condition, book: Rulebook) -> str:
    """ "the largest registered capacity of one unit, per phase, at most g98.unit_limit (16 A)"."""
    fact = BY_NAME[condition.fact].says
    if condition.against:
        value = book.values.get(condition.against)
        limit = condition.against + (f" ({amount_in_words(value)})" if value else "")
    elif isinstance(condition.literal, tuple):
        limit = _listed([str(word) for word in condition.literal], "or")
    elif isinstance(condition.literal, bool):
        limit = "yes" if condition.literal else "no"
    else:
        limit = str(condition.literal)
    reading = f", read by {condition.reading}" if condition.reading else ""
    return f'"{fact}" {_OPS[condition.op]} {limit}{reading}'


def cap_in_words(cap: ExportCap) -> str:
    """ "5 kW in all at the feeder North 7"."""
    return f"{cap.written} {'a phase' if cap.per == 'phase' else 'in all'} {place_in_words(cap)}"


def _title(book: Rulebook, outcome: str) -> str:
    return next((o.title for o in book.outcomes if o.key == outcome), outcome)


def _period(step: StepRule, book: Rulebook) -> str:
    value = book.values.get(step.limit)
    return amount_in_words(value) if value else step.limit or "none"


def _setting(setting: Setting) -> str:
    delay = "" if setting.delay_ms is None else f" after {_seconds(setting.delay_ms)}"
    return f"{setting.written}{delay}"


def _seconds(ms: int) -> str:
    whole, rest = divmod(ms, 1000)
    return f"{whole}.{rest:03d}".rstrip("0").rstrip(".") + " s" if rest else f"{whole} s"


def _changed_names(was: Struct, now: Struct) -> list[str]:
    return [name for name in now.__struct_fields__ if getattr(was, name) != getattr(now, name)]


def _changed(was: Struct, now: Struct) -> str:
    return _listed([_FIELDS.get(name, name) for name in _changed_names(was, now)])


def _inner(text: str) -> str:
    return small(text.rstrip("."))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _listed(words: Sequence[str], last: str = "and") -> str:
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
