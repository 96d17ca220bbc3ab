"""DEVELOPERS names every room, value, finding and command, and none that is not there."""

import ast
import re
from collections import defaultdict

from django.core.management import get_commands

from connections.rulebook.load import DATA, load_books
from connections.rules.wording import WORDING
from sites.bootstrap.paths import ROOT
from tests.docs.markdown import names, section, tables

FINDINGS = ROOT / "connections" / "rules" / "findings"


def rooms() -> set[str]:
    """Folders of both apps that hold something, and the lower app as a whole."""
    apps = ("connections", "sites")
    return {f"{app}/{name}/" for app in apps for name in folders_of(app)} | {"sites/"}


def folders_of(name: str) -> set[str]:
    """Folders inside one, those left out that hold nothing of ours."""
    return {
        folder.name
        for folder in (ROOT / name).iterdir()
        if any(path.is_file() and path.suffix != ".pyc" for path in folder.glob("**/*"))
    }


def test_every_room(developers: str):
    listed = tables(section(developers, "Rooms"))[0]
    assert {name for row in listed[1:] for name in names(row[0])} == rooms()


def test_the_import_table_is_that_of_the_contracts(developers: str):
    """The order of the layers, lowest first, in the first column; no room imports one above it."""
    lines = tables(section(developers, "Rooms"))[1][1:]
    contracts = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    [layers] = re.findall(r"^layers = \[(.*?)^\]", contracts, re.M | re.S)
    order = [
        re.findall(r"(?<!\()connections\.(\w+)", layer) for layer in re.findall(r'"(.+)"', layers)
    ][::-1]
    level = {room: height for height, rooms in enumerate(order) for room in rooms}
    named = [names(line[0])[0] for line in lines]
    assert set(level) <= set(named)
    levels = [level[room] for room in named if room in level]
    assert levels == sorted(levels)
    for room, allowed in [(names(line[0])[0], names(line[1])) for line in lines]:
        for other in (name.split(".")[0] for name in allowed):
            if room in level:
                assert level[other] < level[room], (room, other)


def test_every_group_of_values_and_where_it_stands(developers: str):
    [rows] = tables(section(developers, "The rulebook's values"))
    listed = {names(row[0])[0].removesuffix(".*"): set(names(row[1])) for row in rows[1:]}
    files: dict[str, set[str]] = defaultdict(set)
    for part in load_books().editions:
        for key, value in part.values.items():
            files[key.split(".")[0]].add(value.file.split("/")[-1])
    assert listed == files


def test_every_file_of_the_rulebook(developers: str):
    text = section(developers, "The rulebook's values")
    for file in DATA.rglob("*.toml"):
        assert file.name in text or file.name == "book.toml", file.name


def test_every_finding_with_its_severity_and_module(developers: str):
    [rows] = tables(section(developers, "Findings"))
    listed = {names(row[0])[0]: (row[1], set(names(row[2]))) for row in rows[1:]}
    assert len(listed) == len(rows) - 1
    assert set(listed) == set(WORDING)
    for finding, severities in severities_in_code().items():
        assert severities == {listed[finding][0]}, finding
    for finding, (_, modules) in listed.items():
        assert modules == modules_with(finding), finding


def severities_in_code() -> dict[str, set[str]]:
    """Severities by finding, where the code gives both as words."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in FINDINGS.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Found":
                id, _, severity = node.args[:3]
                if isinstance(severity, ast.Constant):
                    for name in ast.walk(id):
                        if isinstance(name, ast.Constant) and name.value in WORDING:
                            found[str(name.value)].add(str(severity.value))
    assert len(found) > 40
    return found


def modules_with(finding: str) -> set[str]:
    return {
        path.stem
        for path in FINDINGS.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and node.value == finding
    }


def test_every_command(developers: str):
    rows = tables(section(developers, "Commands and CI"))[0]
    listed = {names(row[0])[0].removeprefix("manage.py ") for row in rows[1:]}
    ours = {name for name, app in get_commands().items() if app in ("connections", "sites")}
    assert listed == ours


def test_every_module_beside_the_rooms(developers: str):
    """Of both apps; what Django asks for under a fixed name needs no word."""
    text = section(developers, "Rooms")
    modules = {
        f"{app}/{path.name}"
        for app in ("connections", "sites")
        for path in (ROOT / app).glob("*.py")
    }
    named_by_django = ("__init__.py", "apps.py", "urls.py", "wsgi.py")
    assert {module for module in modules if f"`{module}`" not in text} == {
        module for module in modules if module.endswith(named_by_django)
    }


def test_every_folder_of_tests(developers: str):
    rows = tables(section(developers, "Tests"))[0]
    listed = {names(row[0])[0] for row in rows[1:]}
    assert listed == {f"tests/{name}" for name in folders_of("tests")}


def test_words_are_explained_once(developers: str):
    explained = [
        word
        for table in tables(section(developers, "Words"))
        for row in table[1:]
        for word in row[0].split(", ")
    ]
    twice = {word for word in explained if explained.count(word) > 1}
    assert twice == set()


def test_words_stand_in_order(developers: str):
    for table in tables(section(developers, "Words")):
        listed = [row[0].casefold() for row in table[1:]]
        assert listed == sorted(listed)


def test_decisions_are_dated(developers: str):
    points = re.findall(r"^- (.{11})", section(developers, "Decisions"), re.M)
    assert points
    assert all(re.fullmatch(r"20\d\d-\d\d-\d\d\.", date) for date in points)
    assert points == sorted(points)
