"""The shipped rulebook, and a small one that a test may change."""

import datetime as dt
import shutil
from pathlib import Path

import pytest

from connections.rulebook.book import Rulebook
from connections.rulebook.load import DATA, Books, load_books, resolve

FIXTURES = Path(__file__).with_name("fixtures")


@pytest.fixture
def small_data(tmp_path: Path) -> Path:
    """A data folder with the shipped registers and one small edition."""
    data = tmp_path / "data"
    (data / "editions/small").mkdir(parents=True)
    (data / "operators").mkdir()
    for name in ("sources.toml", "areas.toml"):
        shutil.copy(DATA / name, data / name)
    shutil.copy(FIXTURES / "edition.toml", data / "editions/small/edition.toml")
    return data


@pytest.fixture(scope="session")
def shipped() -> Books:
    return load_books()


@pytest.fixture(scope="session")
def book(shipped: Books) -> Rulebook:
    """The shipped rulebook on the day of the examples, no area."""
    return resolve(shipped, on=dt.date(2026, 11, 24))
