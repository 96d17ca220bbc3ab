"""Packages: declared once, in pyproject.toml, pinned once, and used where they belong.

The core decides sites without the extras, so a room of the library may ask only for those that are
named for it here, wherever in the room the import stands.
"""

import ast
import importlib.metadata
import re
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
CORE = PROJECT["dependencies"]
EXTRAS = PROJECT["optional-dependencies"]

EXTRAS_OF = {
    "connections/energy": ("energy",),
    "connections/documents": ("pdf",),
    "sites": tuple(EXTRAS),
}
"""Rooms, and the extras whose packages they may import; the others live on the core."""
TOOL_OF_TESTS = ("sites/management/soaking.py", "pandapower")
"""A command of ours that runs only where the tools for tests are installed."""


def names_in(text: str) -> list[str]:
    """Packages that a list pins, in its order, in the spelling of an index."""
    pinned = re.findall(r"^([A-Za-z0-9._-]+)(?:\[[a-z,]+\])?==", text, re.M)
    return [canonicalize_name(name) for name in pinned]


def pins(file: str) -> list[str]:
    return names_in((ROOT / file).read_text())


def with_brought(declared: Iterable[str]) -> set[str]:
    """The packages declared, and those that they bring along, as they say themselves."""
    found: set[str] = set()
    seen: set[tuple[str, str]] = set()
    todo = [Requirement(each) for each in declared]
    while todo:
        wanted = todo.pop()
        name = canonicalize_name(wanted.name)
        found.add(name)
        for extra in ("", *wanted.extras):
            if (name, extra) in seen:
                continue
            seen.add((name, extra))
            for line in importlib.metadata.requires(name) or ():
                brought = Requirement(line)
                if brought.marker is None or brought.marker.evaluate({"extra": extra}):
                    todo.append(brought)
    return found


def everything() -> list[str]:
    return [*CORE, *(name for names in EXTRAS.values() for name in names)]


def test_each_package_is_pinned_once() -> None:
    names = [*pins("requirements.txt"), *pins(".ci/requirements.txt")]
    assert len(names) > 40
    assert sorted(names) == sorted(set(names))


def test_what_is_pinned_is_what_is_declared_with_what_it_brings() -> None:
    assert set(pins("requirements.txt")) == with_brought(everything())


def test_the_core_brings_no_numeric_library_and_no_web() -> None:
    heavy = {canonicalize_name(Requirement(n).name) for names in EXTRAS.values() for n in names}
    assert with_brought(CORE).isdisjoint(heavy)
    assert {"numpy", "django", "weasyprint"} <= heavy


def imported(code: str) -> set[str]:
    """Top-level modules of others that some code imports, at its head or inside a function."""
    names = set()
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    tops = {name.partition(".")[0] for name in names}
    return tops - set(sys.stdlib_module_names) - {"connections", "sites"}


def rooms() -> list[str]:
    inner = [path for path in sorted((ROOT / "connections").iterdir()) if path.is_dir()]
    found = [f"connections/{path.name}" for path in inner if not path.name.startswith("_")]
    return [*found, "sites"]


@pytest.mark.parametrize("room", rooms())
def test_a_room_imports_no_package_but_its_own(room: str) -> None:
    declared = [*CORE, *(name for extra in EXTRAS_OF.get(room, ()) for name in EXTRAS[extra])]
    allowed = {canonicalize_name(Requirement(each).name) for each in declared}
    of = importlib.metadata.packages_distributions()
    strays = []
    for path in sorted((ROOT / room).rglob("*.py")):
        where = path.relative_to(ROOT).as_posix()
        for top in imported(path.read_text()):
            packages = {canonicalize_name(name) for name in of.get(top, (top,))}
            if packages.isdisjoint(allowed) and (where, top) != TOOL_OF_TESTS:
                strays.append(f"{where} imports {top}")
    assert strays == []


def test_the_search_for_imports_can_fail() -> None:
    assert imported("def f():\n    import numpy.linalg\n    from scipy import stats") == {
        "numpy",
        "scipy",
    }
    assert names_in("# a\nOne==1\nThe_Other[x,y]==2  # b\n") == ["one", "the-other"]
