"""The help: the same Markdown as in the tree, for everybody who is signed in."""

import pytest
from django.urls import reverse

from sites.house.reading.help import HELP, NAMES, help_page
from tests.sites.making import make_person

pytestmark = pytest.mark.django_db


def test_every_page_of_the_tree_is_one_of_the_program():
    assert {path.stem for path in HELP.glob("*.md")} == set(NAMES)


def test_pages_lead_to_each_other_for_every_role(client):
    client.force_login(make_person("installer"))
    assert client.get(reverse("help")).url == reverse("help-page", args=[NAMES[0]])
    for name in NAMES:
        answer = client.get(reverse("help-page", args=[name]))
        assert answer.status_code == 200
        assert (
            ".md" not in "".join(part.partition('"')[0] for part in answer.text.split('href="')[1:])
            or name == "sources"
        )
    assert client.get(reverse("help-page", args=["nothing"])).status_code == 404


def test_text_stays_text():
    page, commands = help_page("local-entries"), help_page("commands")
    assert page is not None
    assert commands is not None
    assert "key = &quot;the-firm&quot;" in page.html
    assert '<h2 id="as-a-file">' in page.html
    assert 'href="/help/' in commands.html


@pytest.mark.browser
@pytest.mark.looks
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [1280, 360])
def test_it_fits_and_can_be_read(window, axe, width):
    page = window(make_person("office"), width=width)
    for name in NAMES:
        page.goto(reverse("help-page", args=[name]))
        # The tables of all facts are of the same kind as the others, and axe-core is slow on them.
        assert name == "site-file" or axe(page) == [], name
        assert page.faults == [], name
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
