"""The list of findings, read from the modules that declare their kinds; there is no manual list."""

from collections.abc import Iterator
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType

from connections.rules import checks, findings
from connections.rules.checks.basis.types import CheckKind
from connections.rules.kinds import Kind


def modules_of_findings() -> dict[str, ModuleType]:
    """The modules of findings and of checks by name, such as "findings.capacity"."""
    return {
        f"{package.__name__.rpartition('.')[2]}.{info.name}": import_module(
            f"{package.__name__}.{info.name}"
        )
        for package in (findings, checks)
        for info in iter_modules(package.__path__)
        if not info.ispkg
    }


def kinds_by_module() -> dict[str, tuple[Kind, ...]]:
    """Every kind of finding by the module that declares it, in the order of declaration.

    Raises ValueError if two kinds have one id.
    """
    listed = {
        name: tuple(_declared(module))
        for name, module in modules_of_findings().items()
        if any(_declared(module))
    }
    ids = [kind.id for kinds in listed.values() for kind in kinds]
    twice = sorted({id for id in ids if ids.count(id) > 1})
    if twice:
        raise ValueError(f"declared twice: {', '.join(twice)}")
    return listed


def _declared(module: ModuleType) -> Iterator[Kind]:
    for value in vars(module).values():
        if isinstance(value, Kind):
            yield value
        elif isinstance(value, CheckKind) and value.finding is not None:
            yield value.finding
