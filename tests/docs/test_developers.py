"""DEVELOPERS names every room, subject, command and folder of tests, and none that is not there."""

import re
import tomllib

import pytest
from django.core.management import get_commands

from sites.bootstrap.paths import ROOT
from tests.docs.markdown import code_blocks, names, prose, section, tables

MOST_LINES = 400


@pytest.fixture(scope="module")
def layers() -> dict[str, list[set[str]]]:
    """What stands on each layer of the two contracts of layers, highest first, by its container."""
    options = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return {
        contract["containers"][0]: [set(re.findall(r"\w+", layer)) for layer in contract["layers"]]
        for contract in options["tool"]["importlinter"]["contracts"]
        if contract["type"] == "layers"
    }


def packages(app: str) -> set[str]:
    """Packages inside an app that hold source; migrations are Django's own."""
    found = {path.parent.name for path in (ROOT / app).glob("*/*.py")}
    return found - {"migrations"}


def first_column(table: list[list[str]]) -> list[str]:
    return [name for row in table[1:] for name in names(row[0])]


def test_it_is_short(developers: str):
    assert len(developers.splitlines()) <= MOST_LINES


def test_every_room_in_the_order_of_the_contract(developers: str, layers):
    listed = first_column(tables(section(developers, "Two floors"))[0])
    assert set(listed) == packages("connections") | {"assessing", "api"}
    assert in_order(listed, layers["connections"])


def test_every_subject_in_the_order_of_the_contract(developers: str, layers):
    listed = first_column(tables(section(developers, "Two floors"))[1])
    assert set(listed) == packages("sites")
    assert in_order(listed, layers["sites"])


def in_order(listed: list[str], layers: list[set[str]]) -> bool:
    """Whether each stands once, and none above one of a higher layer."""
    heights = [next(n for n, layer in enumerate(layers) if name in layer) for name in listed]
    return heights == sorted(heights) and len(set(listed)) == len(listed)


def test_another_order_is_noticed():
    order = [{"top"}, {"left", "right"}]
    assert in_order(["top", "right", "left"], order)
    assert not in_order(["right", "top", "left"], order)
    assert not in_order(["top", "right", "right"], order)


def test_every_module_beside_the_subjects(developers: str):
    text = section(developers, "Two floors")
    modules = {f"sites/{path.name}" for path in (ROOT / "sites").glob("*.py")}
    assert {name for name in modules if f"`{name}`" not in text} == {"sites/__init__.py"}


def test_the_names_inside_a_subject(developers: str):
    """Each that most subjects have is named, and each that is named stands in some."""
    [line] = re.findall(r"Inside a subject.*?\n\n", developers, re.S)
    named = set(names(line)) & {"models", "reading", "writing", "forms", "pages", "words", "urls"}
    subjects = packages("sites") - {"management", "bootstrap", "house"}
    inside = [{path.stem for path in (ROOT / "sites" / name).iterdir()} for name in subjects]
    common = {name for name in set().union(*inside) if sum(name in one for one in inside) > 3}
    assert named == common - {"__init__", "__pycache__", "refusals"}


def test_every_contract_and_test_of_the_rooms(developers: str):
    text = section(developers, "Two floors")
    for path in (ROOT / "tests/rooms").glob("test_*.py"):
        assert path.name in text, path.name


def test_every_command(developers: str):
    rows = tables(section(developers, "Commands and CI"))[0]
    listed = [name.removeprefix("manage.py ") for name in first_column(rows)]
    ours = {name for name, app in get_commands().items() if app in ("connections", "sites")}
    assert set(listed) == ours
    assert len(set(listed)) == len(listed)


def test_every_folder_of_tests(developers: str):
    text = section(developers, "Tests")
    folders = {path.parent.name for path in (ROOT / "tests").glob("*/*.py")}
    folders |= {path.parents[1].name for path in (ROOT / "tests").glob("*/*/*.py")}
    assert {folder for folder in folders if f"`tests/{folder}`" not in text} == set()


def test_tests_mirror_rooms_and_subjects():
    """As the handbook says: a folder of tests for each, where it has any."""
    for app in ("connections", "sites"):
        folders = {path.parent.name for path in (ROOT / "tests" / app).glob("*/test_*.py")}
        assert folders, app
        assert folders <= packages(app), app


def test_words_are_explained_once_and_in_order(developers: str):
    [table] = tables(section(developers, "Words"))
    heads = [row[0].casefold() for row in table[1:]]
    words = [word for head in heads for word in head.split(", ")]
    assert len(words) > 60
    assert sorted(set(words)) == sorted(words)
    assert heads == sorted(heads)


def test_conventions_are_few(developers: str):
    assert len(section(developers, "Conventions").strip().splitlines()) <= 25


def test_what_is_called_in_the_examples_is_there(developers: str):
    """Names in code style that a search of the tree can find: functions, tables and types."""
    text = prose(section(developers, "How to add"))
    named = {name for name in names(text) if re.fullmatch(r"_?[A-Z]+(_OF)?|[a-z]+(_[a-z]+)+", name)}
    assert len(named) > 15
    source = "\n".join(
        path.read_text(encoding="utf-8")
        for folder in ("connections", "sites", "tests")
        for path in (ROOT / folder).rglob("*.py")
    )
    missing = {name for name in named if not re.search(rf"\b{name}\b", source)}
    assert missing == set()


def test_the_first_steps_are_those_of_the_files(developers: str):
    """The change of the first page is one that somebody can make, and its test is there."""
    text = section(developers, "Start")
    [(file, value)] = re.findall(r"`([^`]+\.toml)` set `([\w.]+)`", text)
    [lines] = [
        block
        for block in (ROOT / file).read_text(encoding="utf-8").split("[[value]]")
        if f'key = "{value}"' in block
    ]
    assert 'value = "32 A"' in lines
    for line in "\n".join(code_blocks(text, "sh")).splitlines():
        for path in re.findall(r"\S+/\S+", line):
            assert (ROOT / path).exists(), path
