"""Every page, for both roles, with nothing and with much on it: nothing for axe-core to find,
nothing that sticks out at 360 px and at 200 % zoom, nothing on top of something else."""

from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from connections.facts.reading import read_site
from sites.designs.writing.designs import copy_design
from sites.desk.demonstration import SITES
from sites.packs.models import FrozenPack
from sites.packs.tasks import rebuild_pack
from sites.premises.models import Draft, Premises
from sites.premises.reading.site_rows import SiteRows
from sites.premises.writing.importing import import_premises
from sites.premises.writing.sheet import create_premises
from tests.browser.layout import SIZES, TWICE, overlaps, sideways
from tests.browser.pages import NO_PAGES, PAGES, addresses, keys_of, names_of_addresses
from tests.sites.making import (
    home,
    island,
    make_attachment,
    make_energy_years,
    make_equipment,
    make_limits,
    make_pack,
    make_person,
    make_premises,
    make_question,
    make_remedy_years,
    make_reply,
    make_screening,
    make_touched,
)

pytestmark = [pytest.mark.browser, pytest.mark.looks]

ROLES = pytest.mark.parametrize("role", ["office", "engineer"])


def resize(page, width, height):
    page.set_viewport_size({"width": width, "height": height})


def faults_of(page, axe, *addresses):
    """What is wrong with the pages at these addresses: to axe-core and to the eye at both sizes, to
    the eye at 200 % zoom of the page and of the letters alone."""
    found = []
    for address in addresses:
        resize(page, *SIZES["desktop"])
        page.goto(address)
        views = {"desktop": [*looks(page), *axe(page)]}
        set_letters(page, "200%")
        views["large letters"] = looks(page)
        set_letters(page, "")
        resize(page, *TWICE)
        views["200 %"] = looks(page)
        resize(page, *SIZES["phone"])
        views["phone"] = [*looks(page), *axe(page)]
        found += [
            f"{page.title()} ({address}), {view}: {fault}"
            for view, faults in views.items()
            for fault in faults
        ]
    return found


def looks(page):
    return [*sideways(page), *overlaps(page)]


def set_letters(page, size):
    page.evaluate("size => document.documentElement.style.fontSize = size", size)


def none_of(faults):
    assert not faults, "\n".join(faults)


@pytest.fixture
def firm_at_work(settings, tmp_path):
    """A case in each state: the keys of one with a question, a file, two designs and a pack, and
    the addresses of what others look like."""
    settings.MEDIA_ROOT = tmp_path / "media"
    engineer = make_person("engineer")
    flagged = make_premises(**island())
    make_question(flagged, by=engineer)
    make_attachment(flagged, by=engineer)
    make_reply(flagged, by=engineer)
    copy_design(design=flagged.design, name="Without the battery", by=engineer)
    make_energy_years(flagged, by=engineer)
    make_remedy_years(flagged, by=engineer)
    make_limits(flagged, by=engineer)
    others = []
    for stopped in (False, True):
        case = make_premises()
        make_energy_years(case, by=engineer)
        make_limits(case, by=engineer, waits=not stopped, stopped=stopped)
        others.append(reverse("design-limits", args=[case.design.key]))
    states: dict[str, dict[str, Any]] = {
        "printing": {},
        "printed": {"pdf_sha256": "0" * 64, "printed_at": timezone.now()},
        "failed": {"print_fault": "A font is missing."},
        "erased": {"personal": None},
    }
    packs = []
    for state in states.values():
        packs.append(make_pack(make_premises(), by=engineer))
        FrozenPack.objects.filter(pk=packs[-1].pk).update(**state)
    task = rebuild_pack.enqueue(packs[0].digest).id
    others += [place for pack in packs[1:] for place in addresses({"pack": pack.key})[:1]]

    long = home()["premises"] | {"name": "Themanwhonevertypesaspace" * 4}
    make_premises(premises=long)
    for name in ("11-twenty-units", "09-facts-missing"):
        site = read_site((SITES / f"{name}.json").read_bytes())
        design = import_premises(site, by=None).design
        others += addresses({"premises": design.premises.key, "design": design.key})[-3:]
    found = make_touched(flagged).run
    others.append(reverse("screening", args=[make_screening(by=engineer).key]))
    model = make_equipment(maker="Themanwhonevertypesaspace" * 4, model="H3.6")
    keys = {"pack": packs[0].key, "task": task, "screening": found.key, "equipment": model.key}
    return keys_of(flagged, **keys), others


def test_every_address_is_a_page_or_said_to_be_none():
    names = set(names_of_addresses())
    assert names - PAGES.keys() - NO_PAGES.keys() == set()
    assert (PAGES.keys() | NO_PAGES.keys()) - names == set()


@pytest.mark.parametrize("whose", ["office", "engineer", "engineer, in other states"])
def test_no_page_of_a_firm_at_work_has_a_fault(window, axe, firm_at_work, whose):
    keys, others = firm_at_work
    every = addresses(keys)
    places = {
        "office": [place for place in every if not place.endswith("/erase/")],
        "engineer": [*every, "/?q=nothing+like+it"],
        "engineer, in other states": others,
    }
    person = make_person(whose.split(",")[0])
    Draft.objects.create(person=person, page="premises/new", changed_at=timezone.now())
    none_of(faults_of(window(person), axe, *places[whose]))


@ROLES
def test_no_page_with_nothing_on_it_has_a_fault(window, axe, role):
    page = window(make_person(role))
    none_of(faults_of(page, axe, *addresses({})))
    bare = create_premises(rows=SiteRows(premises=Premises(reference="BARE-1")), by=None)
    none_of(faults_of(page, axe, *(set(addresses(keys_of(bare))) - set(addresses({})))))


def test_no_page_for_who_may_not_has_a_fault(window, watch, axe):
    page = window()
    none_of(faults_of(page, axe, "/"))  # signed out: asked to sign in
    pack = make_pack(make_premises(), by=make_person("engineer"))
    office = window(make_person())
    with watch.answers(403, 404):
        none_of(faults_of(page, axe, "/no/such/page/"))
        none_of(faults_of(office, axe, "/no/such/page/", f"/packs/{pack.key}/erase/"))


def test_tab_goes_round_every_page_in_sight(window, keyboard, firm_at_work):
    """The sheets are gone through in the ways of office and engineer."""
    engineer = make_person("engineer")
    keys, _others = firm_at_work
    for size in SIZES:
        page = window(engineer, size=size)
        for address in addresses(keys):
            if not address.endswith(("/sheet/", "/new/")):
                page.goto(address)
                keyboard(page).go_round()
