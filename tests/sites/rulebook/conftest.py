"""Reading the pages of the rulebook as a person does."""

import html
import re

import pytest

from tests.sites.making import make_person


@pytest.fixture
def office(client, db):
    """Somebody of the office, signed in."""
    person = make_person("office")
    client.force_login(person)
    return person


@pytest.fixture
def engineer(client, db):
    """An engineer, signed in."""
    person = make_person("engineer")
    client.force_login(person)
    return person


@pytest.fixture
def rows_of():
    """`rows_of(answer)`: each row of the tables in words, by its id, where it has one."""

    def read(answer):
        found = re.findall(r'<tr role="row" id="([^"]+)">(.*?)</tr>', answer.content.decode(), re.S)
        return {
            name: " ".join(html.unescape(re.sub(r"<[^>]+>", " ", row)).split())
            for name, row in found
        }

    return read
