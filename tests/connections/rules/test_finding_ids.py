"""The set of findings: what the rules can raise, how severe, and that each is asked for.

Ids and severities are part of the decision file and of what engineers have decided on, so one that
goes or changes has to be noticed: this list is changed by hand.
"""

import ast
import inspect
import sys
from collections.abc import Iterator
from types import CodeType, ModuleType

import pytest

from connections.assessing import Assessor
from connections.rules.decide import QUESTIONS, decide
from connections.rules.engineering import with_checks
from connections.rules.kinds import Kind
from connections.rules.listing import kinds_by_module, modules_of_findings
from connections.rules.writing import write_decision
from sites.desk.demonstration import SITES

SEVERITIES = {
    "apparent-below-rated": "decide",
    "area-differs": "decide",
    "area-not-known": "inform",
    "array-smaller": "inform",
    "balance-at-limit": "decide",
    "balance-not-known": "inform",
    "behind-nothing": "stops",
    "beyond": "stops",
    "boundary": "decide",
    "can-island": "decide or inform",
    "cap-ended": "inform",
    "cap-place-not-known": "inform",
    "cap-split-not-known": "decide",
    "caution-device-choice": "inform",
    "caution-long-tails": "inform",
    "caution-open-pen": "inform",
    "caution-string-current": "inform",
    "caution-string-fuses": "inform",
    "caution-string-window-high": "inform",
    "caution-string-window-low": "inform",
    "check-board-sum": "decide",
    "check-breaking-capacity": "decide",
    "check-cable-capacity": "decide",
    "check-cable-withstand": "decide",
    "check-charging-drop": "decide",
    "check-dc-input": "decide",
    "check-demand": "decide",
    "check-device-current": "decide",
    "check-disconnection": "decide",
    "check-earth-loop": "decide",
    "check-electrode": "decide",
    "check-emissions": "decide",
    "check-fault-level": "decide",
    "check-import-limit": "decide",
    "check-limitation-scheme": "decide",
    "check-neutral-current": "decide",
    "check-rcd-touch": "decide",
    "check-run-from-cut-out": "decide",
    "check-schedule": "decide",
    "check-schedule-rcd": "decide",
    "check-service-board": "decide",
    "check-service-limited": "decide",
    "check-service-registered": "decide",
    "check-settings": "decide",
    "check-string-short-circuit": "stops",
    "check-string-voltage": "decide",
    "check-supply-impedance": "decide",
    "check-supply-readings": "decide",
    "check-voltage-band": "decide",
    "check-voltage-rise": "decide",
    "check-voltage-step": "decide",
    "check-voltage-trip": "decide",
    "check-voltage-unbalance": "decide",
    "certificate-rating": "decide or inform",
    "certificate-run-out": "decide or inform",
    "checks-not-possible": "inform",
    "strings-not-possible": "inform",
    "clamp-beside-tap": "inform",
    "clamp-phase-missing": "decide",
    "clamp-to-confirm": "inform",
    "clamps-contending": "decide",
    "date-unlikely": "decide",
    "dc-side-capacity": "decide",
    "dc-side-change": "decide",
    "declared-current": "decide",
    "declared-sum": "decide",
    "design-below-rated": "decide",
    "does-not-export": "inform",
    "existing-undated": "decide",
    "export-above-agreed": "stops",
    "export-above-cap": "stops",
    "export-above-import": "stops",
    "export-above-phase-limit": "stops",
    "export-phase-not-known": "decide",
    "fact-not-known": "decide or inform",
    "full-test-too-large": "decide",
    "impossible-operating-point": "decide",
    "independent-network": "inform",
    "induction-test-form": "decide",
    "installed-above-cap": "stops",
    "level-not-known": "decide",
    "limit-in-va": "inform",
    "limit-not-known": "inform",
    "limit-not-type-tested": "decide",
    "load-notice": "inform",
    "local-condition": "decide, stops or inform",
    "local-export-cap": "stops or decide",
    "looped-service": "decide, stops or inform",
    "ma-for-va": "inform",
    "missing-fact": "inform",
    "module-replaced": "decide",
    "neighbours": "decide",
    "netting-limit": "decide",
    "no-register-reference": "decide or inform",
    "nominal-voltage": "inform",
    "not-type-tested": "decide or inform",
    "override-not-used": "inform",
    "owner-refuses": "stops",
    "panel-unlikely": "decide",
    "panels-disagree": "decide or inform",
    "phase-cap": "decide",
    "phase-not-on-supply": "stops",
    "phases-out-of-balance": "decide",
    "planned-before-answer": "inform",
    "planned-outside-window": "inform",
    "plug-in-beside": "decide",
    "plug-in-early": "decide",
    "plug-in-not-known": "decide",
    "plug-in-panels": "decide",
    "plug-in-refused": "stops",
    "rule-missing": "stops",
    "rules-not-held": "inform",
    "shared-generation": "decide",
    "short-term-parallel": "decide or inform",
    "software-cap": "decide or inform",
    "standard-date": "inform",
    "standard-too-small": "decide or inform",
    "storage-outside-module": "inform",
    "storage-requirements": "inform",
    "supply-cap": "stops",
    "supply-change": "decide",
    "supply-number-prefix": "inform",
    "supply-number-scheme": "decide",
    "switched-only": "inform",
    "taken-out": "inform",
    "tighter-limit": "inform",
    "transmission-assessment": "inform",
    "uncertain-value": "inform",
    "uncertain-values": "inform",
    "undetermined": "stops",
    "va-for-w": "inform",
    "voltage-optimiser": "decide",
}


def kinds() -> list[Kind]:
    return [kind for listed in kinds_by_module().values() for kind in listed]


def test_the_findings_are_the_known_ones():
    found = {}
    for kind in kinds():
        *others, last = (kind.severity, *kind.also)
        found[kind.id] = f"{', '.join(others)} or {last}" if others else last
    assert found == SEVERITIES


def test_a_question_is_one_short_sentence():
    questions = [kind.question for kind in kinds()]
    for question in questions:
        assert question.endswith("?"), question
        assert len(question.split()) <= 20, question
    assert len(set(questions)) == len(questions)


DECLARING = ("Kind", "CheckKind", "failing")


def declared(tree: ast.Module) -> Iterator[tuple[str, ast.Call]]:
    """Names of a module that are a kind of finding or of check, and the call that makes each."""
    for node in tree.body:
        if (
            isinstance(node, ast.Assign)
            and isinstance(node.targets[0], ast.Name)
            and isinstance(node.value, ast.Call)
            and getattr(node.value.func, "id", "") in DECLARING
        ):
            yield node.targets[0].id, node.value


def faults_of(source: str) -> list[str]:
    """Kinds that the list can't see, since no name of the module holds them, or that nothing asks.

    A kind is asked for where a function of its module reads its name.
    """
    tree = ast.parse(source)
    names = dict(declared(tree))
    seen = {inner for call in names.values() for inner in ast.walk(call)}
    read = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)
            and isinstance(node.ctx, ast.Load)}  # fmt: skip
    return [f"{name} is not asked for" for name in names if name not in read] + [
        f"line {node.lineno} is not seen"
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and getattr(node.func, "id", "") in DECLARING
        and node not in seen
    ]


def test_no_kind_is_hidden_or_left_over():
    modules = modules_of_findings()
    assert len(modules) > 20
    for name, module in modules.items():
        assert faults_of(inspect.getsource(module)) == [], name


@pytest.mark.parametrize(
    ("source", "faults"),
    [
        ("A = Kind('a')\ndef ask():\n    yield A.found('x')\n", []),
        ("A = CheckKind('a', Kind('b'))\ndef ask():\n    return Working(A)\n", []),
        ("A = Kind('a')\n", ["A is not asked for"]),
        ("def ask():\n    yield Kind('a').found('x')\n", ["line 2 is not seen"]),
        ("ALL = [Kind('a')]\n", ["line 1 is not seen"]),
    ],
)
def test_what_is_hidden_or_left_over_is_told(source, faults):
    assert faults_of(source) == faults


def asking(module: ModuleType) -> set[str]:
    """The public functions of a module that yield findings of a case."""
    return {
        name
        for name, value in vars(module).items()
        if inspect.isgeneratorfunction(value)
        and not name.startswith("_")
        and value.__module__ == module.__name__
        and list(inspect.signature(value).parameters) == ["case"]
    }


def test_every_question_is_asked():
    asked: dict[str, set[str]] = {}
    for question in QUESTIONS:
        asked.setdefault(question.__module__, set()).add(question.__name__)
    modules = {module.__name__: asking(module) for module in modules_of_findings().values()}
    assert asked == {name: functions for name, functions in modules.items() if functions}


def test_a_severity_that_is_not_declared_is_refused():
    kind = Kind("a", "inform", "Is it?", lambda _: ("", ""), also={"decide": "where it matters"})
    assert kind.found("site", {}).severity == "inform"
    assert kind.found("site", {}, severity="decide").severity == "decide"
    with pytest.raises(ValueError, match="a does not say when its severity is stops"):
        kind.found("site", {}, severity="stops")


def words_made(run) -> int:
    """How often the words of any finding were made meanwhile."""
    codes: set[CodeType] = {kind.words.__code__ for kind in kinds()}
    made = 0

    def look(frame, event, _):
        nonlocal made
        made += event == "call" and frame.f_code in codes

    sys.setprofile(look)
    try:
        run()
    finally:
        sys.setprofile(None)
    return made


def test_words_are_made_only_where_they_are_read():
    assessor = Assessor()
    site = assessor.site((SITES / "09-facts-missing.json").read_bytes())
    book = assessor.rulebook(site)
    found = with_checks(decide(site, book))
    assert len(found.findings) > 5
    assert words_made(lambda: with_checks(decide(site, book))) == 0
    assert words_made(lambda: write_decision(found)) == len(found.findings)
