"""The quick look: its page, and the case that is kept of it."""

import pytest
from django.urls import reverse
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from connections.remedies.designs import BACKUP_LOAD_W, design_facts
from connections.ways.asked import Asked
from connections.ways.looking import look
from sites.cases.models import Case
from sites.deciding.reading.deciding import decide_rows
from sites.premises.models import Premises
from sites.premises.reading.site_rows import rows_for, today
from sites.ways.forms import QuickLookForm, written
from sites.ways.reading import rulebook_for, ways_to_keep
from sites.ways.writing import keep_as_case
from tests.sites.making import make_person, make_premises

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    client.force_login(make_person())
    return client


def page_of(client, **typed):
    return client.get(reverse("quick-look"), typed).content.decode()


class TestPage:
    def test_it_answers_without_an_entry(self, office):
        page = page_of(office)
        # 4 kW and 3.6 kW: 7,600 W / 230 V = 33.044 A; the hybrid takes the larger, 4 kW.
        assert "7.6 kW, sun and battery add" in page
        assert "4 kW, one inverter is the limit" in page
        assert "No inverter is there to replace." in page

    def test_at_most_twelve_entries_stand_in_the_open(self, office):
        form = office.get(reverse("quick-look"), {"there_kind": "string"}).context["form"]
        assert len(form.entries()) <= 12

    def test_entries_with_units_are_read(self, office):
        assert "6 kW" in page_of(office, battery_w="6000 W", panels_w="0")

    def test_a_fault_is_said_at_its_box_and_nothing_is_lost(self, office):
        page = page_of(office, pv_w="4 kVA", battery_wh="9.5")
        assert "Mend the marked box" in page
        assert 'value="4 kVA"' in page

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"there_kind": "string", "there_w": "0"}, "Give the rating of the old inverter."),
            ({"pv_w": "0"}, "With panels it needs a rating."),
            ({"phases": "7"}, "Pick one of these."),
            ({"area": "nowhere"}, "Pick one of the list."),
            ({"cutout_a": "x"}, "Give whole amps"),
        ],
    )
    def test_what_does_not_go_together(self, office, typed, says):
        assert says in page_of(office, **typed)

    def test_caps_are_swept_only_if_asked_for(self, office):
        assert "Cap on installed capacity" not in page_of(office)
        assert "Cap on installed capacity" in page_of(office, sweep="yes")

    def test_a_look_keeps_nothing(self, office):
        page_of(office)
        assert not Premises.objects.exists()

    def test_queries_are_few(self, office, django_assert_max_num_queries):
        page_of(office)
        with django_assert_max_num_queries(8):
            page_of(office)


class TestKeeping:
    def test_the_ways_become_designs(self, office):
        answer = office.post(
            reverse("quick-look-keep"),
            {**written(Asked()), "way": "hybrid", "reference": "FH-900 from a look"},
        )
        case = Case.objects.select_related("premises", "design").get()
        assert answer.url == reverse("premises", args=[case.premises.key])
        assert case.design.name == "One hybrid inverter"
        assert set(case.premises.designs.values_list("name", flat=True)) == {
            "One hybrid inverter",
            "Separate inverters",
            "Separate, export limited",
            "Battery only",
        }

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"reference": ""}, "Give the case a reference"),
            ({"reference": "taken"}, "There is a case taken already"),
            ({"reference": "FH-901", "way": "replaced"}, "Pick one of the ways"),
        ],
    )
    def test_a_refusal_keeps_what_was_typed(self, office, typed, says):
        make_premises(reference="taken")
        sent = {**written(Asked(battery_w=3333)), "way": "hybrid", **typed}
        answer = office.post(reverse("quick-look-keep"), sent)
        page = answer.content.decode()
        assert answer.status_code == 422
        assert says in page
        assert 'value="3.333"' in page
        assert Premises.objects.count() == 1


def test_the_boxes_read_what_they_write():
    for asked in (Asked(), Asked(phases=3, there_w=2500, there_peak_w=3000, hybrid_w=6000)):
        form = QuickLookForm(as_query(written(asked)))
        assert form.is_valid(), form.errors
        assert form.asked() == asked


def as_query(texts):
    from django.http import QueryDict

    query = QueryDict(mutable=True)
    query.update(texts)
    return query


class TestTheCase(TestCase):
    """What the look said is what the case decides."""

    # Each example makes a premises with up to five designs: few of them, and none made smaller.
    @settings(max_examples=6, phases=(Phase.explicit, Phase.reuse, Phase.generate))
    @given(
        phases=st.sampled_from([1, 3]),
        there_w=st.sampled_from([0, 2500, 3680]),
        there_kind=st.sampled_from(["string", "micro"]),
        panels_w=st.sampled_from([0, 5200]),
        pv_w=st.integers(500, 9000),
        battery_w=st.integers(500, 9000),
        backup=st.booleans(),
        heat_pump_w=st.sampled_from([0, 3000]),
    )
    def test_it_decides_as_the_look_said(self, **answers):
        asked = Asked(there_peak_w=4000 if answers["there_w"] else 0, **answers)
        looked = {
            each.way.name: each for each in look(asked, rulebook_for(asked), today()) if each.facts
        }
        ways = ways_to_keep(asked)
        case = keep_as_case(
            ways=ways, chosen=next(iter(ways)), reference="FH-902", by=make_person()
        )
        premises = Premises.objects.get(pk=case.premises_id)
        designs = list(premises.designs.all())
        if len(designs) == 1:
            designs[0].name = next(iter(looked))
        assert {design.name for design in designs} == set(looked)
        for design in designs:
            read = decide_rows(rows_for(premises, design))
            decided = read.decided
            said = looked[design.name]
            assert decided is not None
            assert said.decided is not None
            assert decided.procedure == said.decided.procedure, design.name
            site, facts = read.site, said.facts
            assert site is not None
            assert facts is not None
            full = design_facts(site, decided, backup_load_w=BACKUP_LOAD_W)
            for name in ("power_w", "sun_w", "cells_w", "export_w", "routes", "time", "backup"):
                assert getattr(full, name) == getattr(facts, name), (design.name, name)
            assert {phase: sums[0] for phase, sums in decided.case.sums.phases.items()} == {
                phase: sums[0] for phase, sums in said.decided.case.sums.phases.items()
            }
