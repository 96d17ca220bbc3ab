"""Export limits tried in the year of a design: asked, worked out by and by, stopped, gone on with,
and known by what they follow from."""

import datetime as dt
import itertools
from decimal import Decimal

import pytest
from django.utils import timezone
from django_tasks_db.models import DBTaskResult
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from connections.energy.files.meter import read_meter
from connections.energy.limits_asked import limits_of
from connections.energy.load import household_load
from connections.energy.options import Options, Window
from connections.energy.weather.regions import region
from connections.energy.weather.sunshine import typical_sun
from connections.energy.year import each_limit, energy_year
from sites.energy.models import EnergyFile, EnergyInputs
from sites.energy.reading.limit_sweeps import found_of, sweep_state
from sites.energy.writing import working_out_limits
from sites.energy.writing.limit_sweeps import ask_for_limits, ask_for_limits_again, stop_limits
from sites.energy.writing.years import Given, enter_inputs
from sites.house import storage
from sites.house.models import Work
from sites.house.models.work import LIMITS
from sites.house.refusals import RefusedError
from sites.house.tasks import work_out as task
from sites.house.writing.working_out import note_fault, work_out
from sites.management.commands.reap_tasks import reap
from sites.premises.models import Array, Design
from tests.sites.energy.test_years import PLANT
from tests.sites.making import home, make_energy_file, make_premises, meter_csv

LIMITED = {"export": {"value": 1000, "basis": "w_total"}}


@pytest.fixture
def design(office):
    """4.4 kWp behind 3.6 kW and cells behind 3.6 kW, with an export limit of 1 kW."""
    case = make_premises(limits=LIMITED, by=office)
    enter(case.premises, office)
    return Design.objects.select_related("premises").get(pk=case.design.pk)


def enter(premises, by, seen="", use=3500):
    given = Given(region=3, yearly_use_kwh=use)
    return enter_inputs(premises=premises, given=given, seen=seen, by=by)


def do():
    """What waits, as a worker does it."""
    row = Work.objects.get()
    assert row.kind == LIMITS
    return work_out(str(row.key), row.digest)


def limits(state):
    return [each.limit_kw for each in state.found]


def test_what_is_kept_is_the_sweep_of_the_pure_room(design, office):
    ask_for_limits(design=design, limits_w=[0, 2000, 7200], by=office)
    assert sweep_state(design).kind == "waiting"
    assert do()
    state = sweep_state(design)
    assert (state.kind, state.of, state.phases) == ("done", 5, 1)
    plant = replace(PLANT, export_limit_w=1000.0)
    sun, use = typical_sun(region(3)), household_load(3500)
    assert state.found == tuple(each_limit(plant, sun, use, [None, 1000.0, 0, 2000, 7200]))
    # The design's own limit, as the page of designs has it.
    assert state.found[1].figures == energy_year(plant, sun, use).figures
    assert state.found[1].figures.lost > 0


@settings(
    max_examples=settings().max_examples // 3,  # each works a year out for every limit
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(some=st.lists(st.integers(0, 9000), min_size=2, max_size=12, unique=True))
def test_what_is_lost_never_rises_in_what_is_kept(design, office, some):
    ask_for_limits(design=design, limits_w=some, by=office)
    do()
    found = [each for each in sweep_state(design).found if each.limit_kw is not None]
    found.sort(key=lambda each: each.limit_kw or 0)
    assert len(found) == len({*some, 1000})
    for lower, higher in itertools.pairwise(found):
        assert higher.figures.lost <= lower.figures.lost + 1e-9
    for each in found:
        if (each.limit_kw or 0) >= 7.2:  # both ratings of 3.6 kW
            assert each.figures.lost == 0
    Work.objects.all().delete()


def stopping(monkeypatch, after, act):
    """Keep after every limit, and do something once so many are found."""
    monkeypatch.setattr(working_out_limits, "KEEP_EVERY_S", 0)

    def slowly(*given, **more):
        for number, each in enumerate(limits_of(*given, **more)):
            if number == after:
                act()
            yield each

    monkeypatch.setattr(working_out_limits, "limits_of", slowly)


def test_stopped_in_the_middle_it_keeps_what_it_found_and_goes_on(design, office, monkeypatch):
    ask_for_limits(design=design, limits_w=range(0, 7001, 1000), by=office)
    with monkeypatch.context() as patched:
        stopping(patched, 3, lambda: stop_limits(design=design, by=office))
        assert not do()
    state = sweep_state(design)
    # No limit, the design's own, and the lowest one: kept before the fourth was begun.
    assert (state.kind, limits(state)) == ("stopped", [None, 1.0, 0.0])
    assert not do()
    with pytest.raises(RefusedError, match="Nothing is being worked out"):
        stop_limits(design=design, by=office)
    ask_for_limits_again(design=design, by=office)
    assert len(sweep_state(design).found) == 3
    assert do()
    state = sweep_state(design)
    assert (state.kind, limits(state)) == ("done", [None, 1.0, 0.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0])


def test_a_worker_that_was_killed_is_gone_on_with(design, office, monkeypatch):
    class Killed(BaseException):
        """As far from an exception of ours as a killed process."""

    def die():
        raise Killed

    ask_for_limits(design=design, limits_w=range(0, 7001, 1000), by=office)
    with monkeypatch.context() as patched:
        stopping(patched, 4, die)
        with pytest.raises(Killed):
            do()
    state = sweep_state(design)
    assert (state.kind, len(state.found)) == ("waiting", 4)
    begun = []

    def watched(*given, after):
        begun.append(after)
        return limits_of(*given, after=after)

    monkeypatch.setattr(working_out_limits, "limits_of", watched)
    assert do()
    assert begun == [4]
    assert sweep_state(design).kind == "done"


def test_a_quick_sweep_is_written_once(design, office, django_assert_num_queries):
    ask_for_limits(design=design, limits_w=range(0, 7001, 1000), by=office)
    row = Work.objects.get()
    # To read what is asked, and to keep all that is found.
    with django_assert_num_queries(2):
        work_out(str(row.key), row.digest)


def test_other_limits_asked_meanwhile_are_not_overwritten(design, office, monkeypatch):
    ask_for_limits(design=design, limits_w=[0, 2000], by=office)

    def ask_others():
        ask_for_limits(design=design, limits_w=[0, 5000], by=office)

    with monkeypatch.context() as patched:
        stopping(patched, 1, ask_others)
        assert not do()
    assert sweep_state(design).found == ()
    assert do()
    assert limits(sweep_state(design)) == [None, 1.0, 0.0, 5.0]


def test_the_same_again_is_refused_and_other_limits_begin_anew(design, office):
    ask_for_limits(design=design, limits_w=[0, 2000], by=office)
    do()
    with pytest.raises(RefusedError, match="worked out already"):
        ask_for_limits(design=design, limits_w=[2000, 0], by=office)
    ask_for_limits(design=design, limits_w=[0, 2000, 3000], by=office)
    assert sweep_state(design).found == ()
    assert Work.objects.count() == 1


def test_a_changed_design_makes_it_an_old_one(design, office):
    ask_for_limits(design=design, limits_w=[0, 2000], by=office)
    do()
    before = sweep_state(design).found[0].figures.made
    Array.objects.filter(design=design).update(peak_w=6000)
    state = sweep_state(design)
    assert (state.kind, state.found) == ("changed", ())
    assert "has changed since" in state.says[0]
    ask_for_limits_again(design=design, by=office)
    do()
    state = sweep_state(design)
    assert state.kind == "done"
    assert state.found[0].figures.made > before


def test_other_inputs_make_it_an_old_one(design, office):
    before = enter(design.premises, office, seen=str(design.premises.energy_inputs.get().key))
    ask_for_limits(design=design, limits_w=[0, 2000], by=office)
    do()
    assert sweep_state(design).kind == "done"
    enter(design.premises, office, seen=str(before.key), use=5000)
    assert sweep_state(design).kind == "changed"


def with_file_and_window(case, by, **more):
    """Readings of a meter, and cells that sell from 17:00 to 19:00; `more` as for `Given`."""
    before = EnergyInputs.objects.first()
    file = EnergyFile.objects.first() or make_energy_file(case, by=by)
    given = Given(region=3, meter_key=file.key, sell=Window(1020, 1140), **more)
    seen = str(before.key) if before else ""
    enter_inputs(premises=case.premises, given=given, seen=seen, by=by)
    return file


def test_with_readings_and_cells_that_sell(plain, office, monkeypatch):
    """Each limit is followed alone, so it can be stopped after any; prices change no energy."""
    with_file_and_window(plain, office)
    ask_for_limits(design=plain.design, limits_w=[0, 2000, 7200], by=office)
    with monkeypatch.context() as patched:
        stopping(patched, 2, lambda: stop_limits(design=plain.design, by=office))
        assert not do()
    assert limits(sweep_state(plain.design)) == [None, 0.0]
    ask_for_limits_again(design=plain.design, by=office)
    assert do()
    sun, use = typical_sun(region(3)), read_meter(meter_csv(), clock="utc", stamps="begin")
    options = Options(sell=Window(1020, 1140))
    expected = tuple(each_limit(PLANT, sun, use, [None, 0, 2000, 7200], options))
    assert sweep_state(plain.design).found == expected
    assert expected[0].figures.sold > 0
    with_file_and_window(plain, office, export_pence=Decimal(15))
    assert sweep_state(plain.design).kind == "done"


def test_a_file_that_is_gone_is_said(plain, office):
    file = with_file_and_window(plain, office)
    ask_for_limits(design=plain.design, limits_w=[0, 2000], by=office)
    storage.remove(file.sha256)
    assert not do()
    state = sweep_state(plain.design)
    assert state.kind == "failed"
    assert "is not in the store" in state.says[0]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"arrays": []}, "Needs the panels behind pv-1"),
        ({"limits": {"export": {"value": None, "basis": "w_total"}}}, "Needs the value"),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_asked(office, changes, says):
    case = make_premises(**changes)
    enter(case.premises, office)
    state = sweep_state(case.design)
    assert state.kind == "needs"
    assert says in state.says[0]
    with pytest.raises(RefusedError, match=says):
        ask_for_limits(design=case.design, limits_w=[0, 1000], by=office)
    assert not Work.objects.exists()


def test_without_region_and_use_nothing_is_asked(plain, office):
    assert sweep_state(plain.design).kind == "no-inputs"
    with pytest.raises(RefusedError, match="the region, and the use"):
        ask_for_limits(design=plain.design, limits_w=[0, 1000], by=office)
    with pytest.raises(RefusedError, match="say which limits"):
        ask_for_limits_again(design=plain.design, by=office)


def test_limits_that_cannot_be_are_refused(design, office):
    with pytest.raises(RefusedError, match="Try 2 to 60 limits; these are 1"):
        ask_for_limits(design=design, limits_w=[1000], by=office)


def test_what_cannot_be_is_said_and_no_failure_of_the_task(office):
    cells = [{**home()["storage"][0], "usable_wh": 10**9}]
    case = make_premises(storage=cells)
    enter(case.premises, office)
    ask_for_limits(design=case.design, limits_w=[0, 1000], by=office)
    assert not do()
    state = sweep_state(case.design)
    assert state.kind == "failed"
    assert "usable energy of the cells is 1e+09" in state.says[0]


def test_a_failure_of_the_program_is_noted_and_raised(design, office, monkeypatch):
    ask_for_limits(design=design, limits_w=[0, 1000], by=office)

    def breaks(*_given, **_more):
        raise ZeroDivisionError

    with monkeypatch.context() as patched:
        patched.setattr(working_out_limits, "limits_of", breaks)
        with pytest.raises(ZeroDivisionError):
            do()
    assert sweep_state(design).says == ("Something in the program failed; its log says what.",)
    ask_for_limits_again(design=design, by=office)
    assert do()
    assert sweep_state(design).kind == "done"


def test_a_task_that_takes_its_worker_down_is_given_up(design, office):
    ask_for_limits(design=design, limits_w=[0, 1000], by=office)
    DBTaskResult.objects.filter(task_path=task.module_path).update(
        status="RUNNING", started_at=timezone.now(), worker_ids=["a", "b", "c"]
    )
    assert reap(dt.timedelta(0)) == (0, 1)
    assert "begun 3 times" in sweep_state(design).says[0]


def test_a_fault_does_not_overwrite_a_result(design, office):
    row = ask_for_limits(design=design, limits_w=[0, 1000], by=office)
    do()
    note_fault(row.key, row.digest, "Late.")
    assert sweep_state(design).kind == "done"


def test_what_another_program_kept_counts_as_none(design, office):
    ask_for_limits(design=design, limits_w=[0, 1000], by=office)
    do()
    Work.objects.update(results=[{"limit_kw": 1}])
    row = Work.objects.get()
    assert found_of(row) is None
    assert sweep_state(design).kind == "changed"
    ask_for_limits_again(design=design, by=office)
    do()
    assert sweep_state(design).kind == "done"
    Work.objects.update(asked={"limits": "all"})
    assert sweep_state(design).kind == "changed"


def test_a_worker_ends_where_its_row_waits_no_more(design, office, monkeypatch):
    """Stopped after the first limit it works out not one more, though it keeps nothing then."""
    ask_for_limits(design=design, limits_w=range(0, 7001, 1000), by=office)
    monkeypatch.setattr(working_out_limits, "KEEP_EVERY_S", 0)
    worked_out = []
    each_limit = limits_of

    def counted(*args, **more):
        for one in each_limit(*args, **more):
            worked_out.append(one)
            if len(worked_out) == 1:
                stop_limits(design=design, by=office)
            yield one

    monkeypatch.setattr(working_out_limits, "limits_of", counted)
    assert not do()
    assert len(worked_out) == 1
