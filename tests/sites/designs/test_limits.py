"""The page of export limits of a design: the boxes, what is said before, while and after they are
tried, the table, and the plot."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from connections.energy.result import AtLimit, Figures
from sites.energy.reading.limit_sweeps import sweep_state
from sites.energy.words.limits import limit_plot, limit_rows, sentences
from sites.energy.writing.limit_sweeps import ask_for_limits
from sites.house.models import Event, Work
from sites.house.models.work import LIMITS
from sites.house.writing.working_out import work_out
from sites.premises.models import Array, Design
from tests.sites.making import make_energy_years, make_person, make_premises

pytestmark = pytest.mark.django_db

TYPED = {"lowest": "0", "highest": "6 kW", "count": "4", "step": ""}
LIMITED = {"export": {"value": 1000, "basis": "w_total"}}


@pytest.fixture
def office(client):
    person = make_person("office")
    client.force_login(person)
    return person


@pytest.fixture
def case(office):
    made = make_premises(by=office, limits=LIMITED)
    make_energy_years(made, by=office)
    return made


def address(case, what=""):
    return reverse(f"design-limits{what}", args=[case.design.key])


def page(client, case):
    return client.get(address(case)).content.decode()


def send(client, case, **typed):
    return client.post(address(case), {**TYPED, **typed}, follow=True)


def asked_w(case):
    row = Work.objects.get(kind=LIMITS, design=case.design)
    return row.asked["limits_w"]


def do(case):
    row = Work.objects.get(kind=LIMITS, design=case.design)
    work_out(str(row.key), row.digest)


def test_the_page_of_designs_leads_here(client, case):
    words = client.get(reverse("designs", args=[case.premises.key])).content.decode()
    assert f'href="{address(case)}"' in words


def test_it_says_what_is_proposed_for_the_design(client, case, words):
    answer = client.get(address(case))
    said = words(answer)
    # Both inverters have 3.6 kW; steps of 0.2 kW would make 37 limits, and 30 are proposed at most.
    assert (
        "limits a round step apart from 0 kW to 7.2 kW, the ratings of the inverters together"
        in said
    )
    assert "with this design’s own limit of 1.00 kW, is always worked out" in said
    html = answer.content.decode()
    for box, value in (("lowest", "0"), ("highest", "7.2"), ("step", "0.5")):
        assert f'name="{box}" value="{value}"' in html
    assert "What was found" not in said


def test_what_is_asked_is_worked_out_and_stands_in_the_table(client, case, office, words):
    answer = send(client, case)
    assert "0 of 6 limits worked out" in words(answer)
    assert asked_w(case) == [0, 2000, 4000, 6000]
    do(case)
    answer = client.get(address(case))
    html = answer.content.decode()
    found = {each.limit_kw: each.figures for each in sweep_state(case.design).found}
    own, none = found[1.0], found[0.0]
    assert own.lost > 10
    assert (
        f"At its limit of 1.00 kW {own.lost:,.0f} kWh a year are lost, {own.lost_percent:.1f} % of "
        "what could be made." in words(answer)
    )
    assert "Of the limits tried, from 4.00 kW up nothing is lost." in words(answer)
    # 1000 W / 230 V = 4.348 A
    assert (
        '<th scope="row">1.00 kW<br><span class="soft">as it is now</span></th>'
        f'<td class="num">4.348</td><td class="num">{own.lost:,.0f}</td>'
        f'<td class="num">{own.lost_percent:.1f}</td><td class="num">{own.exported:,.0f}</td>'
        f'<td class="num">{own.made:,.0f}</td><td class="num">{own.imported:,.0f}</td>'
        f'<td class="num">{own.hours_limited:,.0f}</td>'
    ) in html
    assert none.exported == 0
    places = [html.index(f'<th scope="row">{each}') for each in (
        "0.00 kW", "1.00 kW", "2.00 kW", "4.00 kW", "6.00 kW", "no limit",
    )]  # fmt: skip
    assert places == sorted(places)
    assert html.count('role="img"') == 1
    assert ">now 1.00 kW</text>" in html
    assert "The design’s own limit of 1.00 kW is marked." in html
    assert Event.objects.filter(act="energy.limits-asked", actor_key=office.key).exists()


def test_a_step_stands_in_place_of_a_number(client, case):
    send(client, case, count="", step="2.5")
    assert asked_w(case) == [0, 2500, 5000, 6000]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"lowest": ""}, "Give the lowest limit."),
        ({"lowest": "much"}, "is not one number with a unit"),
        ({"lowest": "16 A"}, "is a current (A)"),
        ({"lowest": "-1"}, "This can&#x27;t be negative; write it without the minus."),
        ({"lowest": "1,000"}, "can be read in two ways; write 1000 or 1.000."),
        ({"highest": "10001"}, "Give 0 to 10,000 kW."),
        ({"highest": "3.6805"}, "give it in whole W"),
        ({"lowest": "6", "highest": "6"}, "The highest limit must be more than the lowest."),
        ({"count": "1"}, "Give 2 to 60 limits."),
        ({"count": "61"}, "Give 2 to 60 limits."),
        ({"count": "some"}, "Give a whole number, such as 20."),
        ({"count": ""}, "Say how many limits, or give a step."),
        ({"count": "", "step": "0"}, "Give a step of more than nothing"),
        ({"step": "1"}, "Give the step or the number of limits: empty one of the two."),
        (
            {"count": "", "step": "0.05"},
            "makes 121 limits, and at most 60 are tried. Give at least 0.102 kW.",
        ),
        ({"lowest": "0 W", "highest": "5 W", "count": "20"}, "no 20 limits of whole watts"),
    ],
)
def test_a_fault_stands_at_its_box_with_what_was_typed(client, case, typed, says):
    answer = send(client, case, **typed)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert html.count(says) == 2  # in the summary and at the box
    for box, value in typed.items():
        if value:
            assert f'name="{box}" value="{value}"' in html
    assert not Work.objects.filter(kind=LIMITS).exists()


def test_without_region_and_use_it_says_where_to_enter_them(client, office):
    case = make_premises(by=office)
    html = page(client, case)
    assert "Needs what the energy year rests on: the region, and the use of the house." in html
    assert f"{reverse('designs', args=[case.premises.key])}#energy" in html
    assert "Limits to try" not in html
    answer = send(client, case)
    assert answer.status_code == 422
    assert answer.content.decode().count("Needs what the energy year rests on") == 2


def test_missing_facts_lead_to_the_sheet(client, office):
    case = make_premises(by=office, arrays=[])
    html = page(client, case)
    assert "Needs the panels behind pv-1: peak power, tilt and azimuth." in html
    assert f'<a href="{reverse("design-sheet", args=[case.design.key])}">Go on' in html


def test_it_is_stopped_and_gone_on_with(client, case, office, words):
    send(client, case)
    do(case)
    kept = Work.objects.get(kind=LIMITS).results
    assert kept is not None
    Work.objects.filter(kind=LIMITS).update(done_at=None, results=kept[:3])
    assert "3 of 6 limits worked out" in words(client.get(address(case)))
    said = words(client.post(address(case, "-stop"), follow=True))
    assert "Stopped: 3 of 6 limits are worked out, and stand below." in said
    assert "What was found" in said
    assert Event.objects.filter(act="energy.limits-stopped", actor_key=office.key).exists()
    assert "Nothing is being worked out" in words(client.post(address(case, "-stop"), follow=True))
    assert "3 of 6 limits worked out" in words(client.post(address(case, "-again"), follow=True))
    do(case)
    assert Work.objects.get(kind=LIMITS).results == kept
    assert "worked out already" in words(client.post(address(case, "-again"), follow=True))


def test_stopped_before_anything_was_found(client, case, words):
    send(client, case)
    said = words(client.post(address(case, "-stop"), follow=True))
    assert "Stopped: 0 of 6 limits are worked out." in said
    assert "What was found" not in said


def test_a_changed_design_is_said_and_worked_out_again(client, case, words):
    send(client, case)
    do(case)
    Array.objects.filter(design=case.design).update(peak_w=6000)
    answer = client.get(address(case))
    assert "has changed since" in words(answer)
    assert "Work it out again" in words(answer)
    assert "What was found" not in words(answer)
    # What was asked stands in the boxes.
    assert 'name="highest" value="6"' in answer.content.decode()
    assert "0 of 6 limits worked out" in words(client.post(address(case, "-again"), follow=True))
    assert asked_w(case) == [0, 2000, 4000, 6000]


def test_progress_asks_again_only_while_something_is_to_be_done(client, case):
    send(client, case)
    answer = client.get(address(case, "-progress"))
    assert "hx-trigger" in answer.content.decode()
    assert "hx-select" not in answer.content.decode()
    assert "Ask for the rest again" not in answer.content.decode()
    Work.objects.filter(kind=LIMITS).update(asked_at=timezone.now() - dt.timedelta(minutes=2))
    assert "Ask for the rest again" in client.get(address(case, "-progress")).content.decode()
    do(case)
    answer = client.get(address(case, "-progress"))
    assert "every 2s" not in answer.content.decode()
    # What was found alone is fetched: the form is left as it is.
    assert 'hx-select="#limits-found"' in answer.content.decode()
    assert "HX-Refresh" not in answer


def test_a_failure_is_said(client, case, words):
    send(client, case)
    Work.objects.filter(kind=LIMITS).update(done_at=timezone.now(), fault="It was begun 3 times.")
    said = words(client.get(address(case)))
    assert "It ended after 0 of 6 limits. It was begun 3 times." in said


def test_on_three_phases_a_limit_is_shared_by_them(client, office, words):
    supply = {"phases": 3, "cutout_a": 80, "earthing": "TN-C-S", "looped": False}
    case = make_premises(by=office, supply=supply)
    make_energy_years(case, by=office)
    send(client, case)
    do(case)
    answer = client.get(address(case))
    assert "the limit shared equally by 3 phases" in words(answer)
    # 6000 W / (3 x 230 V) = 8.696 A
    assert '<th scope="row">6.00 kW</th><td class="num">8.696</td>' in answer.content.decode()
    assert "has no export limit, so nothing is lost behind one as it stands" in words(answer)


def copy(client, case, limit_w):
    where = address(case, "-copy")
    return client.post(where, {"limit_w": str(limit_w)}, follow=True)


def test_a_limit_is_made_a_design(client, case, words):
    send(client, case)
    do(case)
    html = page(client, case)
    # Not its own limit, and not the year without one.
    for limit_w, offered in ((0, True), (2000, True), (1000, False), ("None", False)):
        assert (f'<option value="{limit_w}">' in html) is offered
    answer = copy(client, case, 2000)
    said = words(answer)
    assert "Limited to 2.00 kW is this design with that export limit" in said
    made = Design.objects.get(name="Limited to 2.00 kW")
    assert answer.request["PATH_INFO"] == reverse("design-sheet", args=[made.key])
    before = {each.limit_kw: each.figures for each in sweep_state(case.design).found}
    ask_for_limits(design=made, limits_w=[0, 100], by=make_person())
    row = Work.objects.get(kind=LIMITS, design=made)
    work_out(str(row.key), row.digest)
    own = sweep_state(made).found[1]
    # The year of the new design is the one that was told.
    assert (own.limit_kw, own.figures) == (2.0, before[2.0])
    # A second one gets a name of its own.
    assert "Design 3 is this design" in words(copy(client, case, 2000))


@pytest.mark.parametrize("limit_w", ["", "2001", "many", "1000"])
def test_only_a_limit_that_was_tried_is_made_a_design(client, case, words, limit_w):
    send(client, case)
    do(case)
    assert "Choose one of the limits that were tried." in words(copy(client, case, limit_w))
    assert Design.objects.count() == 1


def test_a_scheme_that_counts_each_phase_is_not_set_in_kw(client, office, words):
    supply = {"phases": 3, "cutout_a": 80, "earthing": "TN-C-S", "looped": False}
    limit = {"value": 6000, "basis": "w_total", "nets_phases": False}
    case = make_premises(by=office, supply=supply, limits={"export": limit})
    make_energy_years(case, by=office)
    send(client, case)
    do(case)
    # Plant on L1 alone has a third of the 6 kW.
    assert "At its limit of 2.00 kW" in words(client.get(address(case)))
    assert "counts each phase for itself" in words(copy(client, case, 4000))
    assert Design.objects.count() == 1


def at(limit_kw, lost):
    """A year of which only what is lost counts here."""
    zeros = dict.fromkeys(Figures.__struct_fields__, 0.0)
    return AtLimit(limit_kw, Figures(**{**zeros, "lost": lost, "lost_percent": lost / 40}))


@pytest.mark.parametrize(
    ("found", "own", "says"),
    [
        # 212 kWh of 4000 x 0.01 each percent: 5.3 %.
        (
            [at(3.68, 212), at(5, 1), at(5.2, 0), at(6, 0), at(None, 0)],
            3.68,
            (
                "At its limit of 3.68 kW 212 kWh a year are lost, 5.3 % of what could be made.",
                "Of the limits tried, from 5.20 kW up nothing is lost.",
            ),
        ),
        # Less than 0.05 kWh is none.
        ([at(1, 0.04), at(2, 0), at(None, 0)], 1, (
            "At its limit of 1.00 kW nothing is lost.",
            "Of the limits tried, nothing is lost from the lowest on, 1.00 kW.",
        )),
        # With cells that sell, a higher limit may lose more.
        ([at(1, 5), at(2, 0), at(3, 4), at(4, 0)], 1, (
            "At its limit of 1.00 kW 5.0 kWh a year are lost, 0.1 % of what could be made.",
            "Of the limits tried, from 4.00 kW up nothing is lost.",
        )),
        ([at(None, 0), at(1, 50), at(0, 70)], None, (
            "This design has no export limit, so nothing is lost behind one as it stands.",
            "Of the limits tried, something is lost at each: at the highest, 1.00 kW, 50 kWh a "
            "year.",
        )),
        ([at(None, 0)], 1, ()),
        ([], 1, ()),
    ],
)  # fmt: skip
def test_the_sentences(found, own, says):
    assert sentences(found, own) == says


def test_a_limit_is_not_rounded():
    rows = limit_rows([at(3.6795, 0), at(3.68, 0), at(0.001, 0), at(12, 0)], 12, 0)
    assert [row.limit for row in rows] == ["0.001 kW", "3.6795 kW", "3.68 kW", "12.00 kW"]
    assert [row.own for row in rows] == [False, False, False, True]
    assert {row.amps for row in rows} == {""}


def test_one_limit_alone_is_no_plot():
    assert limit_plot([at(None, 0), at(1, 0)], 1) is None
    assert limit_plot([at(2, 0), at(1, 0)], 1) is not None


def test_as_many_limits_as_are_taken_open_again(client, case):
    """60 limits of 0 to 7.28 kW lie 123 or 124 W apart, so no step makes them."""
    answer = send(client, case, highest="7.28", count="60")
    assert answer.status_code == 200
    assert len(asked_w(case)) == 60
    html = page(client, case)
    assert 'name="count" value="60"' in html
    assert 'name="highest" value="7.28"' in html


@pytest.mark.parametrize("kept", [[], [1000], list(range(0, 70_000, 1000)), [-1, 5], [7, 7]])
def test_whatever_limits_are_kept_the_page_opens(client, case, kept):
    send(client, case)
    row = Work.objects.get(kind=LIMITS, design=case.design)
    row.asked["limits_w"] = kept
    row.save()
    answer = client.get(address(case))
    assert answer.status_code == 200
    # Asked for again, what cannot be is refused in words.
    again = client.post(address(case, "-again"), follow=True)
    assert again.status_code == 200


def test_a_limit_stands_in_its_box_with_every_digit(client, case):
    send(client, case, highest="1234.567 kW", count="2")
    assert 'name="highest" value="1234.567"' in page(client, case)


CAP = [{"on": "export", "value": 2000, "basis": "w_total"}]


@pytest.mark.parametrize("limits", [None, LIMITED])
def test_the_operators_cap_is_marked(client, office, limits, words):
    changes = {} if limits is None else {"limits": limits}
    case = make_premises(by=office, caps=CAP, **changes)
    make_energy_years(case, by=office)
    send(client, case)
    do(case)
    answer = client.get(address(case))
    html = answer.content.decode()
    assert "The operator caps export at 2.00 kW; what lies above it is marked." in words(answer)
    assert '<th scope="row">2.00 kW<br><span class="soft">the operator’s cap</span></th>' in html
    for above in ("4.00 kW", "6.00 kW"):
        assert f'<th scope="row">{above}<br><span class="soft">above the operator’s cap<' in html
    own = '<br><span class="soft">as it is now</span>' if limits is None else ""
    free = f'<th scope="row">no limit{own}<br><span class="soft">above the operator’s cap<'
    assert free in html
    assert '<th scope="row">0.00 kW</th>' in html
    assert (">operator’s cap 2.00 kW</text>" in html) is (limits is None)


def test_a_cap_that_was_not_tried_is_told(client, office, words):
    """16 A on one phase at 230 V are 3.68 kW."""
    cap = [{"on": "export", "value": 16_000, "basis": "ma_per_phase"},
           {"on": "installed", "value": 1000, "basis": "w_total"}]  # fmt: skip
    case = make_premises(by=office, caps=cap)
    make_energy_years(case, by=office)
    send(client, case)
    do(case)
    said = words(client.get(address(case)))
    assert (
        "The operator caps export at 3.68 kW, which is not among the limits tried; what lies above "
        "it is marked." in said
    )
    assert "2.00 kW above" not in said
    assert "4.00 kW above the operator’s cap" in said


def test_without_a_cap_nothing_is_said_of_one(client, case, words):
    send(client, case)
    do(case)
    assert (
        "cap" not in words(client.get(address(case))).split("What was found")[1].split("Limits")[0]
    )
