"""Pages of the equipment catalogue: the list, the boxes, and taking a model out. All makers and
models are invented."""

import pytest
from django.urls import reverse

from sites.catalogue.forms import EquipmentForm
from sites.catalogue.models import Equipment
from sites.catalogue.pages import ROWS
from sites.desk.writing.demonstration import load_demo
from sites.house.models import Event
from sites.house.writing.rows import fields_of
from sites.premises.forms.plant import UnitForm
from tests.sites.making import make_equipment, make_person

# Each database puts rows in order in its own way.
pytestmark = [pytest.mark.django_db, pytest.mark.database]

TYPED = {
    "maker": "Invented Works",
    "model": "H3.6",
    "source": "pv+storage",
    "rated_w": "3.6",
    "phases": "1",
    "type_tested": "full",
    "standard": "G98",
    "type_test_reference": "INV/7",
    "can_island": "yes",
    "design_w": "5 kW",
    "rated_va": "3,68",
    "rated_ma": "16",
}


@pytest.fixture(autouse=True)
def office(client):
    person = make_person("office")
    client.force_login(person)
    return person


def posted(seen="", **typed):
    return {f"equipment-{name}": text for name, text in {**TYPED, **typed}.items()} | {"seen": seen}


def add(client, **typed):
    return client.post(reverse("equipment-new"), posted(**typed), follow=True)


def address(row, name="equipment-one"):
    return reverse(name, args=[row.key])


def seen_on(client, row, name="equipment-one"):
    """The mark that a page of a model carries."""
    html = client.get(address(row, name)).content.decode()
    return html.split('name="seen" value="')[1].split('"')[0]


def test_every_fact_of_a_model_has_a_box_and_means_what_it_does_on_the_sheet():
    of_certificates = {
        "type_tested",
        "standard",
        "type_test_reference",
        "certificate_rated_w",
        "certificate_until",
        "further_certificates",
    }
    stored = set(fields_of(Equipment)) - {"standards"}
    assert set(EquipmentForm.base_fields) == stored | of_certificates
    for name in set(EquipmentForm.base_fields) - {"maker", "model", "phases"}:
        assert EquipmentForm.base_fields[name] is UnitForm.base_fields[name]


def test_with_nothing_in_it_the_list_says_what_it_is_for(client, words):
    said = words(client.get(reverse("equipment")))
    assert "No model is in it yet." in said
    assert "the remedy names those of this list that fit" in said


def test_every_page_leads_there(client):
    html = client.get(reverse("work-list")).content.decode()
    assert f'<a href="{reverse("equipment")}">Equipment</a>' in html


def test_a_model_is_added_with_its_units(client, office, words):
    said = words(add(client))
    assert "Invented Works H3.6 is in the catalogue." in said
    assert "1 model, by maker" in said
    row = Equipment.objects.get()
    assert {name: getattr(row, name) for name in fields_of(Equipment)} == {
        "maker": "Invented Works", "model": "H3.6", "source": "pv+storage", "rated_w": 3600,
        "phases": 1,
        "standards": [{"type_tested": "full", "standard": "G98", "reference": "INV/7"}],
        "can_island": True, "design_w": 5000, "rated_va": 3680, "rated_ma": 16_000,
    }  # fmt: skip
    assert Event.objects.get(act="equipment.added").actor_key == office.key


def test_what_is_not_known_may_be_left_out(client, words):
    least = dict.fromkeys(TYPED, "") | {
        "maker": "Invented Works", "model": "H?", "source": "pv", "phases": "3",
    }  # fmt: skip
    said = words(add(client, **least))
    assert "H? Invented Works PV not known three phases not known not known" in said
    row = Equipment.objects.get()
    assert (row.rated_w, row.can_island, row.type_tested, row.phases) == (None, None, "", 3)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"maker": " "}, "say who makes it"),
        ({"model": ""}, "say what its maker calls it"),
        ({"source": ""}, "say what drives the unit"),
        ({"source": "steam"}, "choose one from the list"),
        ({"phases": ""}, "say how many phases it feeds"),
        ({"phases": "4"}, "choose one from the list"),
        ({"rated_w": "much"}, "is not one number with a unit"),
        ({"rated_w": "3.6 kVA"}, "is an apparent power (VA)"),
        ({"rated_w": "-3"}, "be negative"),
        ({"rated_w": "3600"}, "3600 kW is far more than usual here"),
        ({"rated_w": "3,600"}, "can be read in two ways"),
        ({"model": "x" * 201}, "this has 201 characters; shorten it to 200"),
    ],
)
def test_a_fault_stands_at_its_box_with_what_was_typed(client, typed, says):
    answer = add(client, **typed)
    assert answer.status_code == 422
    html = answer.content.decode().replace("&quot;", '"').replace("&#x27;", "'")
    (name, text), = typed.items()  # fmt: skip
    assert f'<a href="#id_equipment-{name}">' in html
    assert html.lower().count(says.lower()) == 2  # in the summary and at the box
    if text.strip():
        assert f'value="{text}"' in html
    assert not Equipment.objects.exists()


def test_what_was_asked_about_can_be_meant(client):
    answer = add(client, rated_w="3600")
    assert "Yes, I mean 3600 W" in answer.content.decode()
    add(client, rated_w="3600", **{"rated_w-meant": "3600 = 3600 W"})
    assert Equipment.objects.get().rated_w == 3600


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        # Below the registered capacity by definition never: refused.
        (
            "design_w",
            {"rated_w": "5", "design_w": "3", "rated_va": "", "rated_ma": ""},
            "3 kW is below the registered capacity of 5 kW; one of the two is wrong",
        ),
        (
            "rated_va",
            {"rated_w": "5", "rated_va": "4", "rated_ma": ""},
            "4 kVA is less than the registered capacity of 5 kW",
        ),
        # 5 A x 230 V = 1.15 kW.
        (
            "rated_ma",
            {"rated_w": "5", "rated_va": "", "rated_ma": "5"},
            "5 A on one phase is 1.15 kW at 230 V, far below the registered capacity of 5 kW",
        ),
        # 6 A x 230 V x 3 = 4.14 kW, less than nine tenths of 5 kW.
        (
            "rated_ma",
            {"rated_w": "5", "rated_va": "", "rated_ma": "6", "phases": "3"},
            "6 A on each of 3 phases is 4.14 kW at 230 V",
        ),
    ],
)
def test_facts_that_contradict_each_other_stand_at_a_box(client, name, typed, says):
    answer = add(client, **typed)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert f'<a href="#id_equipment-{name}">' in html
    assert html.count(says) == 2
    assert not Equipment.objects.exists()


@pytest.mark.parametrize(
    "typed",
    [
        {"rated_w": "5", "design_w": "5", "rated_va": "5", "rated_ma": "21.7"},
        # 5000 W / 253 V = 19.76 A: a voltage at the top of what a network has.
        {"rated_w": "5", "design_w": "", "rated_va": "", "rated_ma": "19.8"},
        {"rated_w": "5", "rated_va": "", "rated_ma": "7.3", "phases": "3"},
        {"rated_w": "", "design_w": "3", "rated_va": "4", "rated_ma": "5"},
    ],
)
def test_facts_that_go_together_are_taken(client, typed):
    add(client, **typed)
    assert Equipment.objects.exists()


def test_a_contradiction_can_be_meant_with_the_capacity_that_it_was_asked_about(client):
    typed = {"rated_w": "5", "rated_va": "4", "rated_ma": ""}
    assert "Yes, I mean 4 kVA, with 5 kW registered" in add(client, **typed).content.decode()
    meant = {"rated_va-meant": "4 = 4 kVA, with 5 kW registered"}
    # With another capacity it is asked about anew.
    assert add(client, **typed | {"rated_w": "4.5"}, **meant).status_code == 422
    add(client, **typed, **meant)
    row = Equipment.objects.get()
    assert (row.rated_w, row.rated_va) == (5000, 4000)
    html = client.get(address(row)).content.decode()
    assert "4 kVA, with 5 kW registered" in html


def test_a_box_asks_one_question(client):
    """0.1 A is asked about for itself, and is meant with any capacity then."""
    typed = {"rated_va": "", "rated_ma": "0.1"}
    add(client, **typed)
    add(client, **typed, **{"rated_ma-meant": "0.1 = 0.1 A"})
    assert Equipment.objects.get().rated_ma == 100


def test_a_model_is_refused_in_words_where_it_is_there(client):
    add(client)
    answer = add(client, maker="invented works")
    assert answer.status_code == 422
    assert "this model of this maker is in the catalogue; change that one" in (
        answer.content.decode()
    )
    assert Equipment.objects.count() == 1


def test_a_page_sent_as_it_was_opened_changes_nothing(client):
    """Units, words and answers go out and come back as they are."""
    row = make_equipment(rated_w=250_000, can_island=False, rated_va=3680)
    before = Equipment.objects.values().get()
    html = client.get(address(row)).content.decode()
    assert 'value="250"' in html
    # 250 kW lies outside what is usual; it was meant once and is meant now.
    assert "Yes, I mean 250 kW" in html
    # So was an apparent power below it.
    assert "3.68 kVA, with 250 kW registered" in html
    typed = {
        "maker": row.maker, "model": row.model, "source": row.source, "rated_w": "250",
        "rated_w-meant": "250 = 250 kW", "phases": "1", "type_tested": "full", "standard": "G98",
        "type_test_reference": "", "can_island": "no", "design_w": "", "rated_va": "3.68",
        "rated_va-meant": "3.68 = 3.68 kVA, with 250 kW registered", "rated_ma": "",
    }  # fmt: skip
    answer = client.post(address(row), posted(seen=seen_on(client, row), **typed))
    assert answer.status_code == 302
    assert Equipment.objects.values().get() == before
    assert not Event.objects.filter(act="equipment.changed").exists()


def test_a_model_is_changed(client, words):
    row = make_equipment()
    answer = client.post(address(row), posted(seen=seen_on(client, row)), follow=True)
    assert "Invented Works H3.6 is saved." in words(answer)
    row.refresh_from_db()
    assert (row.rated_va, row.can_island) == (3680, True)


def test_who_comes_second_sees_what_is_kept_and_may_send_again(client, words):
    row = make_equipment()
    seen = seen_on(client, row)
    Equipment.objects.update(
        rated_w=3000, standards=[{"type_tested": "full", "reference": "INV/7"}]
    )
    answer = client.post(address(row), posted(seen=seen))
    said = words(answer)
    assert answer.status_code == 422
    assert "Somebody else changed this model since you opened the page." in said
    assert "Registered capacity: kept is 3 kW; you have 3.6 kW" in said
    assert "Standard tested to: kept is not known; you have G98" in said
    assert 'value="3.6"' in answer.content.decode()
    assert Equipment.objects.get().rated_w == 3000
    again = answer.content.decode().split('name="seen" value="')[1].split('"')[0]
    assert client.post(address(row), posted(seen=again)).status_code == 302
    assert Equipment.objects.get().rated_w == 3600


def test_a_fault_does_not_take_what_was_seen_along(client):
    """Boxes that come back with a fault are still those of the row as it was opened."""
    row = make_equipment()
    seen = seen_on(client, row)
    Equipment.objects.update(rated_w=3000)
    answer = client.post(address(row), posted(seen=seen, phases=""))
    assert f'name="seen" value="{seen}"' in answer.content.decode()
    assert client.post(address(row), posted(seen=seen)).status_code == 422


def test_a_model_is_taken_out_after_a_question(client, words):
    row = make_equipment()
    where = address(row, "equipment-take-out")
    said = words(client.get(where))
    assert "Designs that have it keep it" in said
    assert "Registered capacity 3.6 kW" in said
    assert Equipment.objects.exists()
    seen = seen_on(client, row, "equipment-take-out")
    Equipment.objects.update(rated_w=5000)
    answer = client.post(where, {"seen": seen})
    assert answer.status_code == 422
    assert "Somebody else changed this model" in words(answer)
    assert Equipment.objects.exists()
    seen = seen_on(client, row, "equipment-take-out")
    said = words(client.post(where, {"seen": seen}, follow=True))
    assert "is taken out of the catalogue." in said
    assert "No model is in it yet." in said


def test_the_list_goes_by_maker_and_model_whatever_their_letters(client):
    for maker, model in (("b works", "Z"), ("A Works", "b"), ("a works", "A"), ("B Works", "Y")):
        make_equipment(maker=maker, model=model)
    html = client.get(reverse("equipment")).content.decode()
    keys = [Equipment.objects.get(model=model).key for model in ("A", "b", "Y", "Z")]
    places = [html.index(str(key)) for key in keys]
    assert places == sorted(places)


def test_many_models_are_on_several_pages(client, words):
    for number in range(ROWS + 1):
        make_equipment(model=f"H{number:03d}")
    assert f"{ROWS + 1} models, by maker, 1 to {ROWS} shown" in words(
        client.get(reverse("equipment"))
    )
    assert "H050" in words(client.get(reverse("equipment"), {"page": 2}))


def test_the_demonstration_has_models_that_say_they_are_invented():
    load_demo()
    rows = list(Equipment.objects.all())
    assert len(rows) == 4
    assert all("invented" in row.maker for row in rows)
    load_demo()
    assert Equipment.objects.count() == 4
