"""README, DEVELOPERS, and the pages of the help."""

from pathlib import Path

import pytest

from sites.bootstrap.paths import ROOT
from sites.house.reading.help import HELP, NAMES

PAGES = ("README.md", "DEVELOPERS.md", *(f"{HELP.relative_to(ROOT)}/{name}.md" for name in NAMES))


@pytest.fixture(params=PAGES)
def path(request: pytest.FixtureRequest) -> Path:
    """Each of them, one after the other."""
    return ROOT / str(request.param)


@pytest.fixture
def readme() -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.fixture
def developers() -> str:
    return (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture
def everything() -> str:
    """README and the help as one text."""
    pages = (page for page in PAGES if page != "DEVELOPERS.md")
    return "\n".join((ROOT / page).read_text(encoding="utf-8") for page in pages)


def of_help(name: str) -> str:
    """One page of the help."""
    return (HELP / f"{name}.md").read_text(encoding="utf-8")


@pytest.fixture
def browser() -> str:
    return of_help("browser")


@pytest.fixture
def commands() -> str:
    return of_help("commands")


@pytest.fixture
def coverage() -> str:
    return of_help("coverage")


@pytest.fixture
def running() -> str:
    return of_help("running")


@pytest.fixture
def site_file() -> str:
    return of_help("site-file")


@pytest.fixture
def sources() -> str:
    return of_help("sources")
