"""The TOML of DEVELOPERS loads where it says that it stands, and does what it says."""

import shutil
from pathlib import Path

import pytest

from connections.rulebook.load import DATA, load_books, resolve
from tests.docs.markdown import code_blocks
from tests.site_files import ON


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A copy of the rulebook's files."""
    return Path(shutil.copytree(DATA, tmp_path / "data"))


def example(developers: str, where: str) -> str:
    """The one block whose first line says that it stands there."""
    [found] = [b for b in code_blocks(developers, "toml") if b.startswith(f"# {where}\n")]
    return found


def test_all_examples_are_tried(developers: str):
    heads = [block.splitlines()[0] for block in code_blocks(developers, "toml")]
    assert heads == ["# add to editions/gb-2025/times.toml"]


def test_a_value(developers: str, data: Path):
    file = data / "editions/gb-2025/times.toml"
    added = example(developers, "add to editions/gb-2025/times.toml")
    file.write_text(f"{file.read_text()}\n{added}")
    books = load_books(data)
    assert resolve(books, on=ON).whole("time.example") == 5  # 2026-11-24, before the change
    assert resolve(books, on=ON.replace(year=2027)).whole("time.example") == 3
