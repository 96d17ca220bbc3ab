"""Compare two decisions on one site: procedure, steps, findings, export figure.

Both decisions have the same facts; the rulebook or the date differs. A mere change of wording (a
margin, a source) does not count.
"""

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from connections.electrical.phase_sums import whole_watts
from connections.facts.decision import Severity, Step
from connections.rules.case import title_of
from connections.rules.decide import UNDETERMINED, Decided
from connections.rules.export import export_figure
from connections.rules.figures import kilowatts, listed
from connections.rules.kinds import Found

SEVERITY_WORDS: dict[Severity, str] = {
    "stops": "stops the application",
    "decide": "needs an engineer's decision",
    "inform": "for information",
}
_WHEN = {
    "before-work": "before the work",
    "before-energising": "before energising",
    "after-commissioning": "after commissioning",
}


class Change(Struct, frozen=True):
    """One difference between two decisions on a site.

    `about` is the finding's id, the step's act, "procedure" or "export". `before` and `after` are
    in words, empty on the side that has nothing; `sentence` gives both.
    """

    kind: Literal["procedure", "step", "finding", "export"]
    about: str
    how: Literal["added", "gone", "changed"]
    before: str
    after: str
    sentence: str


def changes_between(before: Decided, after: Decided) -> tuple[Change, ...]:
    """Every difference, procedure first; empty if the outcome is the same.

    Args:
        before, after: results of `decide` for one site's facts under two rulebooks or dates.
    """
    return (
        *_procedure(before, after),
        *_export(before, after),
        *_steps(before, after),
        *_findings(before, after),
    )


def _procedure(before: Decided, after: Decided) -> Iterator[Change]:
    was, now = _procedure_words(before), _procedure_words(after)
    if was != now:
        yield Change(
            "procedure", "procedure", "changed", was, now, f"Procedure: {now} instead of {was}."
        )


def _procedure_words(decided: Decided) -> str:
    case = decided.case
    if case.outcome == UNDETERMINED:
        if case.missing is not None:
            return f"not determined, the rule on {case.missing.missing} is not held"
        titles = [title_of(case, key) for key in case.possible.outcomes]
        return f"cannot tell yet ({listed(titles, 'or')})" if titles else "cannot tell yet"
    reading = case.other_reading
    other = f" (read the other way: {title_of(case, reading)})" if reading else ""
    return f"{title_of(case, case.outcome)}{other}"


def _export(before: Decided, after: Decided) -> Iterator[Change]:
    was, now = (export_figure(d.case.site, d.case.setting, d.case.sums) for d in (before, after))
    if (was.phases, was.total) == (now.phases, now.total):
        return
    told = [_power(was.total), _power(now.total)]
    if told[0] == told[1]:
        told = [
            listed([f"{phase} {_power(amount)}" for phase, amount in figure.phases.items()])
            for figure in (was, now)
        ]
    sentence = f"Export figure: {told[1]} instead of {told[0]}."
    yield Change("export", "export", "changed", told[0], told[1], sentence)


def _power(scaled: int) -> str:
    return kilowatts(whole_watts(scaled))


def _steps(before: Decided, after: Decided) -> Iterator[Change]:
    old = [step for step in before.steps if step not in after.steps]
    new = [step for step in after.steps if step not in before.steps]
    for was in old:
        same = next((step for step in new if _act(step) == _act(was)), None)
        if same is None:
            yield Change("step", was.what, "gone", _told(was), "", f"No longer: {_told(was)}.")
            continue
        new.remove(same)
        told = _told(was), _told(same)
        if told[0] != told[1]:
            sentence = f"Step: {told[1]}; before: {told[0]}."
            yield Change("step", was.what, "changed", *told, sentence)
    for now in new:
        yield Change("step", now.what, "added", "", _told(now), f"New step: {_told(now)}.")


def _act(step: Step) -> tuple[str, str, str]:
    return step.when, step.what, step.says


def _told(step: Step) -> str:
    """A step in one line: when, sentence, form, time, whether to wait, attachments."""
    parts = [f"{_WHEN[step.when]}, {step.says[:1].lower()}{step.says[1:].rstrip('.')}"]
    if step.form:
        parts.append(step.form)
    if step.limit is not None:
        parts.append(f"{step.limit.n} {step.limit.unit.replace('-', ' ')}")
    if step.wait:
        parts.append("wait for the answer")
    if step.attachments:
        parts.append(f"with {listed([name.replace('-', ' ') for name in step.attachments])}")
    parts += [note.rstrip(".") for note in step.notes]
    return "; ".join(parts)


def _findings(before: Decided, after: Decided) -> Iterator[Change]:
    old = {(found.id, found.subject): found for found in before.findings}
    new = {(found.id, found.subject): found for found in after.findings}
    for key, now in new.items():
        was = old.get(key)
        if was is None:
            told = _finding(now)
            yield Change("finding", now.id, "added", "", told, f"New finding: {told}")
        elif was.severity != now.severity:
            told = now.words()[0]
            words = SEVERITY_WORDS[was.severity], SEVERITY_WORDS[now.severity]
            sentence = f"{_capital(words[1])} instead of {words[0]}: {told}"
            yield Change("finding", now.id, "changed", *words, sentence)
    for key, gone in old.items():
        if key not in new:
            told = _finding(gone)
            yield Change("finding", gone.id, "gone", told, "", f"No longer a finding: {told}")


def _finding(found: Found) -> str:
    words = _capital(SEVERITY_WORDS[found.severity])
    return f"{words}. {found.words()[0]}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
