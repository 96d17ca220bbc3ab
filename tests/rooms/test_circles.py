"""Modules import each other in one direction only: no circle, at import or inside functions."""

import ast
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("connections", "sites")


class Tie(NamedTuple):
    """One import: from where to where, and the line that says it."""

    importer: str
    imported: str
    says: str


def files_of(root: Path, packages: tuple[str, ...]) -> dict[str, Path]:
    """Every Python file by the dotted name of its module; a package stands for its front door."""
    found = {}
    for package in packages:
        for path in sorted((root / package).rglob("*.py")):
            parts = path.relative_to(root).with_suffix("").parts
            found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def ties_of(files: dict[str, Path]) -> list[Tie]:
    """Every import from one of the files to another, wherever in its file it stands.

    Importing a module opens the packages above it too; those that the importer stands in itself
    are open already.
    """
    packages = {name for name, path in files.items() if path.name == "__init__.py"}
    ties = []
    for importer, path in files.items():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Import | ast.ImportFrom):
                continue
            for wanted in names_in(node, importer, importer in packages):
                target = wanted if wanted in files else wanted.rpartition(".")[0]
                parts = target.split(".")
                for n in range(1, len(parts) + 1):
                    name = ".".join(parts[:n])
                    if name == importer or name not in files:
                        continue
                    if name == target or not importer.startswith(f"{name}."):
                        says = f"{path.name} line {node.lineno}: {ast.unparse(node)}"
                        ties.append(Tie(importer, name, says))
    return ties


def names_in(node: ast.Import | ast.ImportFrom, importer: str, is_package: bool) -> list[str]:
    """What an import names, in full: a module, or a thing in a module."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    base = node.module or ""
    if node.level:
        above = importer.split(".")
        above = above[: len(above) - node.level + is_package]
        base = ".".join([*above, base] if base else above)
    return [f"{base}.{alias.name}" for alias in node.names]


def circles_in(ties: list[Tie]) -> list[set[str]]:
    """The sets of modules of which each one reaches every other, in order of their names."""
    next_to: dict[str, set[str]] = {}
    for tie in ties:
        next_to.setdefault(tie.importer, set()).add(tie.imported)
    reached = {name: reached_from(name, next_to) for name in next_to}
    found: list[set[str]] = []
    for name in sorted(reached):
        if name in reached[name] and not any(name in circle for circle in found):
            found.append({other for other in reached[name] if name in reached.get(other, ())})
    return found


def reached_from(name: str, next_to: dict[str, set[str]]) -> set[str]:
    """Every module that one of these steps, or several, lead to."""
    found: set[str] = set()
    open_ones = [name]
    while open_ones:
        for other in next_to.get(open_ones.pop(), set()) - found:
            found.add(other)
            open_ones.append(other)
    return found


def told(circle: set[str], ties: list[Tie]) -> str:
    """A circle in words: every import that ties it."""
    within = [tie for tie in ties if tie.importer in circle and tie.imported in circle]
    return "\n".join(
        [f"circle of {', '.join(sorted(circle))}:"]
        + [f"  {tie.importer} -> {tie.imported} ({tie.says})" for tie in sorted(within)]
    )


def test_no_circle_of_imports():
    files = files_of(ROOT, PACKAGES)
    ties = ties_of(files)
    assert len(files) > 500
    assert len(ties) > 1000
    circles = circles_in(ties)
    assert not circles, "\n".join(told(circle, ties) for circle in circles)


def made_up(root: Path, **modules: str) -> list[Tie]:
    """The ties of a package `house` with these modules; `__` in a name stands for a folder."""
    (root / "house").mkdir()
    (root / "house/__init__.py").touch()
    for name, text in modules.items():
        path = root / "house" / f"{name.replace('__', '/')}.py"
        path.parent.mkdir(exist_ok=True)
        (path.parent / "__init__.py").touch()
        path.write_text(text)
    return ties_of(files_of(root, ("house",)))


def test_a_circle_of_plain_imports_is_found_and_told(tmp_path):
    ties = made_up(
        tmp_path,
        hall="import house.stairs\nfrom house.roof import TILES\n",
        stairs="from house.attic import climb\n",
        attic="from house.hall import door\n",
        roof="TILES = 7\n",
    )
    (circle,) = circles_in(ties)
    assert circle == {"house.hall", "house.stairs", "house.attic"}
    assert told(circle, ties).splitlines() == [
        "circle of house.attic, house.hall, house.stairs:",
        "  house.attic -> house.hall (attic.py line 1: from house.hall import door)",
        "  house.hall -> house.stairs (hall.py line 1: import house.stairs)",
        "  house.stairs -> house.attic (stairs.py line 1: from house.attic import climb)",
    ]


def test_an_import_inside_a_function_counts(tmp_path):
    ties = made_up(
        tmp_path,
        hall="def enter():\n    from house.stairs import climb\n    climb()\n",
        stairs="from house.hall import enter\n\ndef climb(): ...\n",
    )
    assert circles_in(ties) == [{"house.hall", "house.stairs"}]


def test_one_for_types_alone_counts(tmp_path):
    ties = made_up(
        tmp_path,
        hall="from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from house import stairs\n",
        stairs="from house.hall import enter\n",
    )
    assert circles_in(ties) == [{"house.hall", "house.stairs"}]


def test_a_module_taken_from_its_package_is_the_module(tmp_path):
    ties = made_up(
        tmp_path,
        rooms__kitchen="from house.rooms import larder\n",
        rooms__larder="from house import cellar\n",
        cellar="import house.rooms.kitchen as cook\n",
    )
    assert circles_in(ties) == [{"house.cellar", "house.rooms.kitchen", "house.rooms.larder"}]


def test_relative_imports_count(tmp_path):
    ties = made_up(
        tmp_path,
        rooms__kitchen="from . import larder\n",
        rooms__larder="from ..cellar import wine\n",
        cellar="from .rooms.kitchen import pot\n",
    )
    assert circles_in(ties) == [{"house.cellar", "house.rooms.kitchen", "house.rooms.larder"}]


def test_the_front_door_of_a_package_counts(tmp_path):
    """Who imports `rooms.larder` opens `rooms`, and with it what its front door imports."""
    ties = made_up(
        tmp_path,
        rooms__kitchen="from house.cellar import wine\n",
        rooms__larder="",
        cellar="from house.rooms import larder\n",
    )
    assert circles_in(ties) == []
    (tmp_path / "house/rooms/__init__.py").write_text("from house.rooms.kitchen import pot\n")
    ties = ties_of(files_of(tmp_path, ("house",)))
    assert circles_in(ties) == [{"house.cellar", "house.rooms", "house.rooms.kitchen"}]


def test_one_way_is_no_circle(tmp_path):
    ties = made_up(
        tmp_path,
        hall="import house.stairs\nfrom house import attic\n",
        stairs="from house.attic import climb\n",
        attic="import os\n",
    )
    assert len(ties) == 3
    assert circles_in(ties) == []
