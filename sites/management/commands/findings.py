"""`manage.py findings`: every finding that the rules can make, as their source states it."""

import ast
import inspect
import pkgutil
from argparse import ArgumentParser
from collections.abc import Iterator
from importlib import import_module
from typing import Any, NamedTuple, get_args

from django.core.management.base import BaseCommand, CommandError

from connections.facts.decision import Severity
from connections.rules import findings
from connections.rules.findings.checks import CAUTION_OF, FINDING_OF
from connections.rules.wording import WORDING

SEVERITIES: tuple[str, ...] = get_args(Severity)
CHECK_OF = {finding: check for check, finding in {**FINDING_OF, **CAUTION_OF}.items()}


class Made(NamedTuple):
    """One `Found` in the source: the findings that it can be, its severities, and its module."""

    ids: set[str]
    severities: set[str]
    module: str


class Command(BaseCommand):
    """Print all findings, or those whose id or module is named."""

    help = "Print every finding: its severity, the modules that make it, and what it is about."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the ids and modules to show."""
        parser.add_argument("names", nargs="*", metavar="NAME", help="the id or module of some")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Raises CommandError for a name that is neither a finding nor a module."""
        names = set(options["names"])
        made = list(made_in_source())
        for name in sorted(names - {each.module for each in made} - set(WORDING)):
            raise CommandError(f'There is no finding and no module "{name}".')
        for id, wording in WORDING.items():
            these = [each for each in made if id in each.ids]
            modules = sorted({each.module for each in these})
            if names and not names & {id, *modules}:
                continue
            stated = {severity for each in these for severity in each.severities}
            severity = " or ".join(one for one in SEVERITIES if one in stated)
            about = f"Check {CHECK_OF[id]}. " if id in CHECK_OF else ""
            self.stdout.write(f"{id}: {severity}, made in {', '.join(modules)}")
            self.stdout.write(f"  {about}{wording.__doc__}")


def made_in_source() -> Iterator[Made]:
    """Every `Found` of the modules in `connections.rules.findings`."""
    for info in pkgutil.iter_modules(findings.__path__):
        module = import_module(f"{findings.__name__}.{info.name}")
        tree = ast.parse(inspect.getsource(module))
        calls = [
            (function, node)
            for function in tree.body
            for node in ast.walk(function)
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Found"
        ]
        written = [_words(call.args[0], vars(module)) & set(WORDING) for _, call in calls]
        # A helper is handed its ids: they are those that the module names and makes nowhere else.
        handed = (_words(tree, {}) & set(WORDING)).difference(*written)
        for ids, (function, call) in zip(written, calls, strict=True):
            severity = call.args[2]
            words = _words(severity, vars(module))
            if isinstance(severity, ast.Name):
                words = _words(function, {})
            elif any(getattr(node, "attr", "") == "severity" for node in ast.walk(severity)):
                words = set(SEVERITIES)
            yield Made(ids or handed, words & set(SEVERITIES), info.name)


def _words(source: ast.AST, names: dict[str, Any]) -> set[str]:
    """The strings in a piece of source, and the values of the tables in it that `names` has."""
    words: set[str] = set()
    for node in ast.walk(source):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            words.add(node.value)
        elif isinstance(node, ast.Name) and isinstance(table := names.get(node.id), dict):
            words |= set(table.values())
    return words
