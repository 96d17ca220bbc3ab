"""The energy year of each design: entered, asked for, worked out once, known by what it follows
from. Figures are those of the pure room for the same plant."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone
from django_tasks_db.models import DBTaskResult
from msgspec.structs import replace

from connections.energy.asked import YearAsked, year_of
from connections.energy.load import household_load
from connections.energy.plant import Cells, Plant, PvArray, PvInverter, StorageUnit
from connections.energy.weather.regions import region
from connections.energy.weather.sunshine import typical_sun, with_yield
from connections.energy.year import energy_year
from sites.designs.reading.side_by_side import side_by_side
from sites.designs.writing.designs import copy_design
from sites.energy.models import EnergyInputs
from sites.energy.reading.years import latest_inputs, progress_of
from sites.energy.writing import working_out_year
from sites.energy.writing.given import given_of
from sites.energy.writing.odd import keys_of
from sites.energy.writing.years import Given, ask_for_years, enter_inputs
from sites.house import storage
from sites.house.models import Work
from sites.house.models.work import YEAR
from sites.house.refusals import FactsChangedError, RefusedError
from sites.house.writing.working_out import note_fault, work_out
from sites.management.commands.reap_tasks import reap
from sites.premises.models import Array, Design, Premises
from tests.sites.making import home, make_premises

GIVEN = Given(region=3, yearly_use_kwh=3500)

# What `home()` is: 4.4 kWp to the south, of a tilt that is not known (35 degrees are assumed),
# behind 3.6 kW; 9.5 kWh of cells behind 3.6 kW.
PLANT = Plant(
    pv=(PvInverter("pv-1", 3600, (PvArray(4400, 35, 180),)),),
    storage=(StorageUnit("bat-1", 3600, Cells(9500, 3600, 3600)),),
)


def enter(premises, by, given=GIVEN, sure=()):
    before = EnergyInputs.objects.filter(premises=premises).first()
    return enter_inputs(
        premises=premises, given=given, seen=str(before.key) if before else "", by=by, sure=sure
    )


def do(premises):
    """Every year that waits, as a worker does them."""
    rows = Work.objects.filter(kind=YEAR, design__premises=premises, done_at__isnull=True)
    return [work_out(str(row.key), row.digest) for row in rows]


def worked_out(premises, by, given=GIVEN):
    enter(premises, by, given)
    ask_for_years(premises=premises, by=by)
    do(premises)


def state_of(premises, number=0):
    return side_by_side(Premises.objects.get(pk=premises.pk)).designs[number].year


def test_the_stored_year_is_that_of_the_pure_room(plain, office):
    premises = plain.premises
    worked_out(premises, office)
    state = state_of(premises)
    assert state.kind == "done"
    expected = energy_year(PLANT, typical_sun(region(3)), household_load(3500))
    assert state.result.figures == expected.figures
    assert state.result.low == expected.low
    assert state.result.high == expected.high
    assert state.result.months == expected.months
    assert state.result.summer == expected.summer
    assert state.result.step_minutes == 30
    told = " ".join(state.result.method)
    assert "Standard Assessment Procedure, Appendix U, Table U3" in told
    assert "Assumed: the tilt of the panels behind pv-1 is 35 degrees; it is not known." in told
    assert "Steps of 30 minutes" in told


@pytest.mark.parametrize("peak_w", [4400, 2200])
def test_a_measured_yield_goes_by_peak_power(plain, office, peak_w):
    """3,600 kWh of 4.4 kWp as they are; 1,800 of 2.2 kWp are 3,600 for the 4.4 of this design."""
    measured = 3600 * peak_w // 4400
    worked_out(
        plain.premises, office, replace(GIVEN, measured_yield_kwh=measured, measured_peak_w=peak_w)
    )
    result = state_of(plain.premises).result
    expected = energy_year(
        PLANT, with_yield(typical_sun(region(3)), 3600, "it"), household_load(3500)
    )
    assert result.figures.made == pytest.approx(expected.figures.made)
    assert result.figures.made == pytest.approx(3600, rel=1e-3)
    assert ("in proportion" in " ".join(result.method)) is (peak_w != 4400)


def test_a_year_of_cells_alone_does_not_ask_for_a_yield():
    cells = Plant(storage=PLANT.storage)
    asked = YearAsked(cells, region(3), 3500, measured_kwh=3600, measured_peak_w=4400)
    assert year_of(asked, storage.stored).figures.made == 0


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"arrays": []}, "Needs the panels behind pv-1: peak power, tilt and azimuth."),
        ({"arrays": [{"unit_id": "pv-1"}]}, "Needs the peak power of the panels behind pv-1."),
        ({"storage": []}, "Needs the cells behind bat-1: usable energy and power."),
        (
            {"storage": [{"unit_id": "bat-1", "charge_w": 3600}]},
            "Needs the usable energy of the cells behind bat-1.",
        ),
        (
            {"limits": {"export": {"value": None, "basis": "w_total"}}},
            "Needs the value of the export limit.",
        ),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_asked(office, changes, says):
    premises = make_premises(**changes).premises
    enter(premises, office)
    state = state_of(premises)
    assert (state.kind, state.asked) == ("needs", None)
    assert says in state.says
    with pytest.raises(RefusedError, match="No design has all the facts"):
        ask_for_years(premises=premises, by=office)
    assert not Work.objects.exists()


def test_a_design_without_units_says_so(plain, office):
    plain.design.unit_set.all().delete()
    enter(plain.premises, office)
    assert state_of(plain.premises).says == (
        "Enter a unit on the sheet: what drives it, and its registered capacity.",
    )


def test_without_region_and_use_nothing_is_asked(plain, office):
    assert state_of(plain.premises).kind == "no-inputs"
    with pytest.raises(RefusedError, match="Enter the region and the yearly use first"):
        ask_for_years(premises=plain.premises, by=office)


def test_a_changed_design_is_not_worked_out_for_this_and_the_other_stays(plain, office):
    premises = plain.premises
    copy_design(design=plain.design, name="Bigger roof", by=office)
    worked_out(premises, office)
    assert [state_of(premises, n).kind for n in (0, 1)] == ["done", "done"]
    twin = Design.objects.get(name="Bigger roof")
    Array.objects.filter(design=twin).update(peak_w=6000)
    assert [state_of(premises, n).kind for n in (0, 1)] == ["done", "changed"]
    assert "Not worked out for this" in state_of(premises, 1).says[0]
    assert ask_for_years(premises=premises, by=office) == 1
    assert state_of(premises, 1).kind == "waiting"
    before = state_of(premises).result.figures.made
    do(premises)
    # More panels behind the same inverter make more.
    assert state_of(premises, 1).result.figures.made > before
    with pytest.raises(RefusedError, match="worked out already"):
        ask_for_years(premises=premises, by=office)


def test_other_inputs_make_every_year_an_old_one(plain, office):
    worked_out(plain.premises, office)
    enter(plain.premises, office, replace(GIVEN, yearly_use_kwh=5000))
    assert state_of(plain.premises).kind == "changed"
    enter(plain.premises, office)
    # What was entered before holds again: the year is known by what it follows from.
    assert state_of(plain.premises).kind == "done"
    assert EnergyInputs.objects.count() == 3


def test_a_year_is_worked_out_once(plain, office):
    enter(plain.premises, office)
    ask_for_years(premises=plain.premises, by=office)
    row = Work.objects.get()
    assert (row.kind, row.design) == (YEAR, plain.design)
    key = str(row.key)
    assert DBTaskResult.objects.count() == 1
    assert progress_of(plain.premises).done == 0
    assert not work_out(key, "0" * 64)
    assert work_out(key, row.digest)
    assert not work_out(key, row.digest)
    progress = progress_of(plain.premises)
    assert (progress.asked, progress.done, progress.ended) == (1, 1, True)


def test_a_year_that_waits_is_asked_for_again(plain, office):
    enter(plain.premises, office)
    for times in (1, 2):
        assert ask_for_years(premises=plain.premises, by=office) == 1
        assert DBTaskResult.objects.count() == times
    assert Work.objects.count() == 1


def test_what_cannot_be_is_said_and_no_failure_of_the_task(office):
    cells = [{**home()["storage"][0], "usable_wh": 10**9}]
    premises = make_premises(storage=cells).premises
    worked_out(premises, office)
    state = state_of(premises)
    assert state.kind == "failed"
    assert "usable energy of the cells is 1e+09" in state.says[0]


def test_a_failure_of_the_program_is_noted_and_raised(plain, office, monkeypatch):
    enter(plain.premises, office)
    ask_for_years(premises=plain.premises, by=office)

    def breaks(_asked, _files):
        raise ZeroDivisionError

    monkeypatch.setattr(working_out_year, "year_of", breaks)
    with pytest.raises(ZeroDivisionError):
        do(plain.premises)
    assert state_of(plain.premises).says == ("Something in the program failed; its log says what.",)


def test_a_task_that_takes_its_worker_down_is_given_up(plain, office):
    enter(plain.premises, office)
    ask_for_years(premises=plain.premises, by=office)
    DBTaskResult.objects.update(
        status="RUNNING", started_at=timezone.now(), worker_ids=["a", "b", "c"]
    )
    assert reap(dt.timedelta(0)) == (0, 1)
    assert "begun 3 times" in state_of(plain.premises).says[0]


def test_a_fault_does_not_overwrite_a_result(plain, office):
    worked_out(plain.premises, office)
    row = Work.objects.get()
    note_fault(row.key, row.digest, "Late.")
    assert state_of(plain.premises).kind == "done"


def test_a_result_of_another_program_counts_as_none(plain, office):
    worked_out(plain.premises, office)
    Work.objects.update(results={"figures": {}})
    assert state_of(plain.premises).kind == "changed"


@pytest.mark.parametrize(
    ("changes", "box"),
    [
        ({"region": 0}, "region"),
        ({"region": 22}, "region"),
        ({"yearly_use_kwh": -1}, "yearly_use_kwh"),
        ({"yearly_use_kwh": 10_000_001}, "yearly_use_kwh"),
        ({"measured_yield_kwh": 3600}, "measured_kwp"),
        ({"measured_peak_w": 4400}, "measured_yield_kwh"),
        ({"measured_yield_kwh": 3600, "measured_peak_w": -4400}, "measured_kwp"),
        # 99.9 and 1,600.1 kWh for each kWp
        ({"measured_yield_kwh": 999, "measured_peak_w": 10_000}, "measured_yield_kwh"),
        ({"measured_yield_kwh": 16_001, "measured_peak_w": 10_000}, "measured_yield_kwh"),
    ],
)
def test_what_cannot_be_entered_names_its_box(plain, office, changes, box):
    with pytest.raises(RefusedError) as refused:
        enter(plain.premises, office, replace(GIVEN, **changes))
    assert refused.value.field == box
    assert not EnergyInputs.objects.exists()


def test_edges_that_can_be(plain, office):
    for changes in (
        {"region": 1},
        {"region": 21},
        {"yearly_use_kwh": 0},
        {"yearly_use_kwh": 10_000_000},
        {"measured_yield_kwh": 1000, "measured_peak_w": 10_000},
        {"measured_yield_kwh": 16_000, "measured_peak_w": 10_000},
    ):
        given = replace(GIVEN, **changes)
        enter(plain.premises, office, given, sure=keys_of(given))
    assert EnergyInputs.objects.count() == 6


def test_who_comes_second_is_told(plain, office, engineer):
    enter(plain.premises, office)
    with pytest.raises(FactsChangedError, match="Somebody else entered"):
        enter_inputs(premises=plain.premises, given=GIVEN, seen="", by=engineer)
    assert EnergyInputs.objects.get().entered_by == office


def test_a_yield_without_its_peak_is_no_row(plain, office):
    with pytest.raises(IntegrityError), transaction.atomic():
        EnergyInputs.objects.create(
            premises=plain.premises, region=3, yearly_use_kwh=1, measured_yield_kwh=1,
            entered_by=office, entered_at=timezone.now(),
        )  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "box"),
    [
        ({"yearly_use_kwh": 99}, "yearly_use_kwh"),
        ({"yearly_use_kwh": 100_001}, "yearly_use_kwh"),
        ({"export_pence": Decimal("0.15")}, "export_pence"),
    ],
)
def test_an_odd_figure_is_not_taken_unless_it_is_said_to_be_so(plain, office, changes, box):
    given = replace(GIVEN, **changes)
    with pytest.raises(RefusedError, match="usual") as caught:
        enter(plain.premises, office, given)
    assert caught.value.field == box
    enter(plain.premises, office, given, sure=keys_of(given))
    # What was entered is said to be so from then on; another figure is not.
    entered = latest_inputs(plain.premises)
    assert entered is not None
    assert set(keys_of(given)) == set(keys_of(given_of(entered)))
    with pytest.raises(RefusedError):
        enter(plain.premises, office, replace(GIVEN, yearly_use_kwh=98), sure=keys_of(given))
