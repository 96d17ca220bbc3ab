"""People, a store of the test's own, and premises for the tests of services."""

import pytest

from tests.web.making import island, make_person, make_premises


@pytest.fixture(autouse=True)
def store(settings, tmp_path):
    """The files of one test; nothing of it is kept."""
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT / "files"


@pytest.fixture
def engineer(db):
    return make_person("engineer")


@pytest.fixture
def office(db):
    return make_person("office")


@pytest.fixture
def plain(office):
    """A line with nothing to settle: PV and storage of 3.6 kW each, by application."""
    return make_premises(by=office)


@pytest.fixture
def flagged(office):
    """The same, but the battery can run as an island, which an engineer decides."""
    return make_premises(by=office, **island())
