"""What remedies cost in the energy of a year: figures are those of the pure room and of the design
that a remedy becomes; asked for once, worked out year by year, whatever happens in between."""

import datetime as dt

import pytest
from django.utils import timezone
from django_tasks_db.models import DBTaskResult
from msgspec import convert, structs

from connections.energy.asked import YearAsked, year_of
from connections.energy.energy_errors import EnergyError, InvariantError
from connections.energy.load import household_load
from connections.energy.options import Options
from connections.energy.plant import Plant, PvArray, PvInverter
from connections.energy.result import EnergyYear
from connections.energy.weather.regions import region
from connections.energy.weather.sunshine import typical_sun
from connections.energy.year import energy_year
from connections.facts.decision import Change
from sites.deciding.reading.deciding import decide_case
from sites.deciding.reading.remedies import remedy_mark, shown_remedies
from sites.designs.writing.designs import free_name
from sites.designs.writing.from_remedy import design_from_remedy
from sites.energy.reading.remedy_years import wanted_of, with_years, worked_out
from sites.energy.reading.years import latest_inputs
from sites.energy.words.remedy_years import UNCHANGED
from sites.energy.writing import working_out_remedies
from sites.energy.writing.remedy_years import ask_for_remedy_years
from sites.energy.writing.years import Given, ask_for_years, enter_inputs
from sites.house.models import Event, Work
from sites.house.models.work import REMEDIES, YEAR
from sites.house.refusals import FactsChangedError, RefusedError
from sites.house.writing.working_out import work_out
from sites.management.commands.reap_tasks import reap
from sites.premises.models import Array
from tests.sites.making import home, make_premises, make_remedy_years, make_reply

GIVEN = Given(region=3, yearly_use_kwh=3500)
SUN, USE = typical_sun(region(3)), household_load(3500)


def enter(case, by, given=GIVEN):
    before = latest_inputs(case.premises)
    seen = str(before.key) if before else ""
    return enter_inputs(premises=case.premises, given=given, seen=seen, by=by)


def wanted(case):
    inputs = latest_inputs(case.premises)
    assert inputs is not None
    return wanted_of(decide_case(case, remedies=True), inputs)


def ask(case, by):
    return ask_for_remedy_years(design=case.design, seen=wanted(case).digest, by=by)


def do(case):
    row = Work.objects.get(kind=REMEDIES, design=case.design)
    return work_out(str(row.key), row.digest)


def results(case):
    return worked_out(Work.objects.get(kind=REMEDIES, design=case.design))


def shown(case):
    """The part of the list, and the sentence at each remedy by its mark."""
    decided = decide_case(case, remedies=True)
    assert decided.decision is not None
    found = with_years(shown_remedies(decided.decision), case.design, decided, "premises")
    return found.years, {one.mark: one.year for one in (*found.first, *found.rest)}


def remedies(case):
    decision = decide_case(case, remedies=True).decision
    assert decision is not None
    return [each for each in decision.remedies if each.change]


def capped(by, cap="3 kW", watts=3000):
    """6 kW of panels' inverter with 8 kWp to the south, no cells, under a cap on export."""
    unit = {**home()["units"][0], "rated_w": 6000, "standard": "G99"}
    array = {"unit_id": "pv-1", "peak_w": 8000, "panels": 20, "azimuth_deg": 180}
    case = make_premises(units=[unit], arrays=[array], storage=[], by=by)
    make_reply(case, by=by, kind="cap-export", written=cap, value=watts, basis="w_total")
    return case


def limit_of(case):
    """The mark of the remedy that is an export limit alone."""
    return next(remedy_mark(each) for each in remedies(case) if each.kind == "export-limit")


def year_at(limit_w):
    plant = Plant(pv=(PvInverter("pv-1", 6000, (PvArray(8000, 35, 180),)),), export_limit_w=limit_w)
    return energy_year(plant, SUN, USE, Options(cases=False, finer=False))


def test_an_export_limit_costs_what_the_pure_room_says(office):
    case = capped(office)
    make_remedy_years(case, by=office)
    found = results(case)
    free, held = year_at(None).figures, year_at(3000).figures
    assert found[""].figures == free
    assert found[limit_of(case)].figures == held
    assert held.lost > 100
    # Nothing stores here, so what the limit takes is what is made less and sent out less.
    assert free.made - held.made == pytest.approx(held.lost)
    less = round(free.made) - round(held.made)
    sent = round(free.exported) - round(held.exported)
    years, sentences = shown(case)
    assert sentences[limit_of(case)] == (
        f"In a year: {less:,} kWh less is made ({held.made:,.0f} in place of {free.made:,.0f}), "
        f"all of it held back by the export limit: {held.lost_percent:.1f} % of what could be "
        f"made; {sent:,} kWh less is exported."
    )
    assert years.kind == "done"
    assert "a typical year of the region Southern England" in years.rests[0]
    assert "Assumed: the tilt of the panels behind pv-1 is 35 degrees" in " ".join(years.rests)
    assert years.rests[-1].startswith(f"As it stands, in a year {free.made:,.0f} kWh is made;")


def test_a_lower_limit_never_costs_less(office):
    lost = []
    for watts in (1000, 2000, 3000, 4000, 5000):
        case = capped(office, f"{watts // 1000} kW", watts)
        make_remedy_years(case, by=office)
        figures = results(case)[limit_of(case)].figures
        assert figures == year_at(watts).figures
        lost.append(figures.lost)
    assert lost == sorted(lost, reverse=True)
    assert lost[0] > lost[-1]


def test_a_remedy_made_into_a_design_has_the_year_that_was_promised(plain, office):
    """Made, lost, bought and sent out depend neither on cases nor on a finer run."""
    make_remedy_years(plain, by=office)
    promised, said = results(plain), wanted(plain)
    proposed = remedies(plain)
    assert len(proposed) > 4
    assert set(said.years) | said.same == {remedy_mark(each) for each in proposed}
    for remedy in proposed:
        mark = remedy_mark(remedy)
        name = free_name(plain.premises)
        design = design_from_remedy(design=plain.design, mark=mark, name=name, by=office)
        ask_for_years(premises=plain.premises, by=office)
        row = Work.objects.get(kind=YEAR, design=design)
        work_out(str(row.key), row.digest)
        row.refresh_from_db()
        figures = convert(row.results, EnergyYear).figures
        assert figures == promised["" if mark in said.same else mark].figures, remedy.sentence


def test_what_makes_no_other_year_is_not_worked_out(plain, office):
    make_remedy_years(plain, by=office)
    same = wanted(plain).same
    assert same
    _years, sentences = shown(plain)
    for remedy in remedies(plain):
        mark = remedy_mark(remedy)
        assert (mark in same) == (mark not in results(plain))
        if mark in same:
            assert sentences[mark] == UNCHANGED
            assert remedy.kind in {"three-phase-supply", "other-phases", "tested-equipment"}


def counted(monkeypatch, fails=()):
    """Years that are worked out from here on, in their order; the numbers in `fails` raise."""
    done = []

    def counting(asked, files):
        done.append(asked.digest)
        fault = dict(fails).get(len(done))
        if fault is not None:
            raise fault
        return year_of(asked, files)

    monkeypatch.setattr(working_out_remedies, "year_of", counting)
    return done


def test_the_same_year_is_worked_out_once(office, monkeypatch):
    """Two units of 3.7 kW, each of which may be held to 3.66 kW or be one made for that."""
    units = [{**unit, "rated_w": 3700} for unit in home()["units"]]
    plain = make_premises(by=office, units=units)
    done = counted(monkeypatch)
    make_remedy_years(plain, by=office)
    asked = convert(Work.objects.get().asked, dict[str, YearAsked])
    assert len(done) == len(set(done)) == len({each.digest for each in asked.values()})
    # A smaller unit and one held to as much by its maker make the same year.
    assert len(done) < len(asked) == len(results(plain))


def test_it_is_done_once(plain, office):
    enter(plain, office)
    row = ask(plain, office)
    key = str(row.key)
    assert not work_out(key, "0" * 64)
    assert work_out(key, row.digest)
    assert not work_out(key, row.digest)
    assert DBTaskResult.objects.count() == 1


class StoppedError(BaseException):
    """A worker that is killed: nothing of ours catches it."""


def test_a_stopped_worker_is_gone_on_from(plain, office, monkeypatch):
    enter(plain, office)
    ask(plain, office)
    first = counted(monkeypatch, fails=[(4, StoppedError())])
    with pytest.raises(StoppedError):
        do(plain)
    assert len(first) == 4
    years, _sentences = shown(plain)
    kept = results(plain)
    # Three years were worked out, some of them for two remedies.
    assert years.kind == "waiting"
    assert 3 <= years.done == len(kept) < years.total
    second = counted(monkeypatch)
    assert do(plain)
    assert not set(first[:3]) & set(second)
    assert shown(plain)[0].kind == "done"
    assert {mark: results(plain)[mark] for mark in kept} == kept


def test_sentences_come_as_they_are_worked_out(plain, office, monkeypatch):
    enter(plain, office)
    ask(plain, office)
    counted(monkeypatch, fails=[(3, StoppedError())])
    with pytest.raises(StoppedError):
        do(plain)
    years, sentences = shown(plain)
    told = [mark for mark in years.marks if sentences[mark]]
    # The design as it stands, and one remedy.
    assert (years.done, len(told)) == (2, 1)


def test_a_year_that_cannot_be_is_said_and_the_others_go_on(plain, office, monkeypatch):
    counted(monkeypatch, fails=[(2, EnergyError("It cannot be."))])
    make_remedy_years(plain, by=office)
    years, sentences = shown(plain)
    faults = [words for words in sentences.values() if "can\u2019t be told" in words]
    assert years.kind == "done"
    assert set(faults) == {"What it costs in energy can\u2019t be told: It cannot be."}
    assert len(results(plain)) == len(wanted(plain).years) + 1
    assert any(words.startswith("In a year:") for words in sentences.values())


@pytest.mark.parametrize(
    ("fault", "says"),
    [
        (ZeroDivisionError(), "Something in the program failed; its log says what."),
        (InvariantError("In step 3, export is above its limit."), "export is above its limit."),
    ],
)
def test_a_failure_of_the_program_is_noted_and_raised_at_the_end(
    plain, office, monkeypatch, fault, says
):
    counted(monkeypatch, fails=[(2, fault)])
    with pytest.raises(type(fault)):
        make_remedy_years(plain, by=office)
    years, sentences = shown(plain)
    assert years.kind == "done"
    assert any(words.endswith(says) for words in sentences.values())
    assert any(words.startswith("In a year:") for words in sentences.values())


def test_without_the_design_as_it_stands_nothing_is_told(office):
    cells = [{**home()["storage"][0], "usable_wh": 10**9}]
    case = make_premises(storage=cells)
    make_remedy_years(case, by=office)
    years, sentences = shown(case)
    assert years.kind == "failed"
    assert "usable energy of the cells is 1e+09" in years.says[0]
    assert not any(words.startswith("In a year") for words in sentences.values())


def test_a_failure_of_the_program_at_the_design_itself(plain, office, monkeypatch):
    counted(monkeypatch, fails=[(1, ZeroDivisionError())])
    with pytest.raises(ZeroDivisionError):
        make_remedy_years(plain, by=office)
    years, _sentences = shown(plain)
    assert years.says == ("Something in the program failed; its log says what.",)
    ask(plain, office)  # may be tried again
    counted(monkeypatch)
    assert do(plain)


def test_what_another_program_asked_is_noted(plain, office):
    enter(plain, office)
    row = ask(plain, office)
    Work.objects.update(asked={"": {"plant": 1}})
    with pytest.raises(Exception, match="plant"):
        work_out(str(row.key), row.digest)
    assert Work.objects.get().fault.startswith("Something in the program failed")


def test_what_another_program_worked_out_counts_as_none(plain, office):
    make_remedy_years(plain, by=office)
    Work.objects.update(results={"": {"figures": {}}})
    assert shown(plain)[0].kind == "not-asked"
    make_remedy_years(plain, by=office)
    assert shown(plain)[0].kind == "done"


def test_a_task_that_takes_its_worker_down_is_given_up(plain, office):
    enter(plain, office)
    ask(plain, office)
    DBTaskResult.objects.update(
        status="RUNNING", started_at=timezone.now(), worker_ids=["a", "b", "c"]
    )
    assert reap(dt.timedelta(0)) == (0, 1)
    years, _sentences = shown(plain)
    assert years.kind == "failed"
    assert "begun 3 times" in years.says[0]


def test_what_waits_is_asked_for_again_after_a_while(plain, office):
    enter(plain, office)
    ask(plain, office)
    events = Event.objects.count()
    ask(plain, office)  # a second window
    assert (DBTaskResult.objects.count(), Event.objects.count()) == (1, events)
    Work.objects.update(asked_at=timezone.now() - dt.timedelta(minutes=2))
    assert shown(plain)[0].long
    ask(plain, office)
    assert DBTaskResult.objects.count() == 2
    assert not shown(plain)[0].long


def test_what_is_done_is_not_asked_again(plain, office):
    make_remedy_years(plain, by=office)
    Work.objects.update(asked_at=timezone.now() - dt.timedelta(days=2))
    ask(plain, office)
    assert DBTaskResult.objects.count() == 1
    assert shown(plain)[0].kind == "done"


def test_another_design_is_another_year_and_what_stays_the_same_is_kept(plain, office, monkeypatch):
    make_remedy_years(plain, by=office)
    assert shown(plain)[0].kind == "done"
    Array.objects.update(peak_w=6000)
    years, sentences = shown(plain)
    assert years.kind == "not-asked"
    assert set(sentences.values()) <= {"", UNCHANGED}
    done = counted(monkeypatch)
    make_remedy_years(plain, by=office)
    # Leaving the panels out makes the same year whatever they were.
    gone = [year for year in wanted(plain).years.values() if not year.plant.pv + year.plant.shared]
    assert len(gone) == 1
    assert gone[0].digest not in done
    assert shown(plain)[0].kind == "done"


def test_other_inputs_are_another_year(plain, office):
    make_remedy_years(plain, by=office)
    enter(plain, office, structs.replace(GIVEN, yearly_use_kwh=5000))
    assert shown(plain)[0].kind == "not-asked"


def test_a_page_that_is_out_of_date_asks_for_nothing(plain, office):
    enter(plain, office)
    seen = wanted(plain).digest
    Array.objects.update(peak_w=6000)
    with pytest.raises(FactsChangedError, match="has changed since this page was opened"):
        ask_for_remedy_years(design=plain.design, seen=seen, by=office)
    assert not Work.objects.exists()


def test_what_is_missing_is_said_once(office):
    case = make_premises(arrays=[{"unit_id": "pv-1"}])
    enter(case, office)
    years, sentences = shown(case)
    assert (years.kind, years.says) == (
        "needs",
        ("Needs the peak power of the panels behind pv-1.",),
    )
    assert set(sentences.values()) == {""}
    with pytest.raises(RefusedError, match="Needs the peak power of the panels"):
        ask_for_remedy_years(design=case.design, seen="", by=office)


def test_without_region_and_use_nothing_is_asked(plain, office):
    assert shown(plain)[0].kind == "no-inputs"
    with pytest.raises(RefusedError, match="Enter the region and the yearly use first"):
        ask_for_remedy_years(design=plain.design, seen="", by=office)


def test_without_a_change_that_makes_another_year_nothing_is_asked(office):
    """Cells alone, 3.6 kW: nothing would help, so nothing has a year."""
    case = make_premises(units=home()["units"][1:], arrays=[], by=office)
    enter(case, office)
    assert not remedies(case)
    assert shown(case) == (None, {})
    with pytest.raises(RefusedError, match="No change that would help"):
        ask_for_remedy_years(design=case.design, seen="", by=office)


def test_a_change_that_takes_a_fact_away_says_what_it_needs(plain, office):
    inputs = enter(plain, office)
    decided = decide_case(plain, remedies=True)
    assert decided.decision is not None
    first = decided.decision.remedies[0]
    lacks = structs.replace(first, change=(Change("arrays[0].peak_w", None),))
    wrong = structs.replace(first, change=(Change("supply.phases", 7),))
    decision = structs.replace(decided.decision, remedies=(lacks, wrong))
    found = wanted_of(structs.replace(decided, decision=decision), inputs)
    assert found.unknown[remedy_mark(lacks)] == "Needs the peak power of the panels behind pv-1."
    assert found.unknown[remedy_mark(wrong)].startswith("supply.phases: ")


@pytest.mark.parametrize("watts", [3000, 4000])
def test_options_of_a_year_do_not_touch_what_is_told(watts):
    plant = Plant(pv=(PvInverter("pv-1", 6000, (PvArray(8000, 35, 180),)),), export_limit_w=watts)
    assert energy_year(plant, SUN, USE).figures == year_at(watts).figures


def test_what_was_worked_out_for_other_inputs_is_not_kept(plain, office):
    """A file of marks is the same under another use, and its figures are not."""
    enter(plain, office)
    ask(plain, office)
    assert do(plain)
    before = worked_out(Work.objects.get())
    enter(plain, office, structs.replace(GIVEN, yearly_use_kwh=9000))
    ask(plain, office)
    assert Work.objects.get().results == {}
    assert do(plain)
    after = worked_out(Work.objects.get())
    assert before.keys() == after.keys()
    for mark, one in after.items():
        assert one.figures is not None
        assert one.figures.used == pytest.approx(9000)
        assert one != before[mark]
