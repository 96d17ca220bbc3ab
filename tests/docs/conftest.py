"""The two documents."""

from pathlib import Path

import pytest

from sites.bootstrap.paths import ROOT

PAGES = ("README.md", "DEVELOPERS.md")


@pytest.fixture(params=PAGES)
def path(request: pytest.FixtureRequest) -> Path:
    """Each of the two, one after the other."""
    return ROOT / str(request.param)


@pytest.fixture
def readme() -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.fixture
def developers() -> str:
    return (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
