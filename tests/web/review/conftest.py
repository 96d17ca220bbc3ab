"""Two people, and a store of the test's own."""

import pytest

from tests.web.making import make_person


@pytest.fixture(autouse=True)
def store(settings, tmp_path):
    """The files of one test."""
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT / "files"


@pytest.fixture
def engineer(db):
    return make_person("engineer")


@pytest.fixture
def office(db):
    return make_person("office")


@pytest.fixture
def by_engineer(client, engineer):
    """A browser in which the engineer is signed in."""
    client.force_login(engineer)
    return client


@pytest.fixture
def by_office(client, office):
    """A browser in which the office is signed in."""
    client.force_login(office)
    return client
