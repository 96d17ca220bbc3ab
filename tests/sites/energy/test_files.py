"""Files that energy years rest on: kept once, read again in another way, calculated with. Figures
are those of the pure room for the same plant."""

import datetime as dt
import os
import time
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.utils import timezone
from msgspec.structs import replace

from connections.energy.energy_errors import EnergyError
from connections.energy.files.irradiance import read_irradiance
from connections.energy.files.meter import read_meter
from connections.energy.load import household_load
from connections.energy.options import Options, Prices, Window
from connections.energy.plant import Cells, Plant, PvArray, PvInverter, StorageUnit
from connections.energy.weather.regions import region
from connections.energy.weather.sunshine import sun_of_weather, typical_sun
from connections.energy.year import energy_year
from sites.designs.reading.side_by_side import side_by_side
from sites.energy.models import EnergyFile, EnergyInputs
from sites.energy.reading.files import HowRead, file_shown
from sites.energy.writing.files import keep_file, read_again
from sites.energy.writing.years import Given, ask_for_years, enter_inputs
from sites.house import storage
from sites.house.models import Event
from sites.house.refusals import RefusedError
from sites.house.writing.working_out import work_out
from tests.sites.making import irradiance_csv, make_energy_file, make_premises, meter_csv

# What `home()` is, as in test_energy_years.
PLANT = Plant(
    pv=(PvInverter("pv-1", 3600, (PvArray(4400, 35, 180),)),),
    storage=(StorageUnit("bat-1", 3600, Cells(9500, 3600, 3600)),),
)
GIVEN = Given(region=3, yearly_use_kwh=3500)


def keep(case, by, *, kind="meter", content=None, clock="utc", stamps="begin", unit=None, at=3):
    content = content if content is not None else meter_csv()
    return keep_file(
        premises=case.premises, kind=kind, name=f"{kind}.csv", content=content,
        how=HowRead(clock, stamps, unit), region=at, by=by,
    )  # fmt: skip


def year(case, given, by):
    """What is worked out for the one design of a premises."""
    before = EnergyInputs.objects.first()
    seen = str(before.key) if before else ""
    enter_inputs(premises=case.premises, given=given, seen=seen, by=by)
    ask_for_years(premises=case.premises, by=by)
    work = case.design.work.get()
    work_out(str(work.key), work.digest)
    return side_by_side(case.premises).designs[0].year


def figures_of(result):
    """All of a year but its sentences: the design's own tell of an assumed tilt too."""
    return replace(result, method=())


def test_a_meter_file_gives_the_year_of_the_pure_room(plain, office):
    content = meter_csv(kwh=0.3)
    kept = keep(plain, office, content=content)
    result = year(plain, Given(region=3, meter_key=kept.key), office).result
    expected = energy_year(PLANT, typical_sun(region(3)), read_meter(content, clock="utc"))
    assert figures_of(result) == figures_of(expected)
    # 0.3 kWh in each of 17,520 half hours.
    assert result.figures.used == pytest.approx(0.3 * 17_520)
    assert "an uploaded file of meter readings" in " ".join(result.method)


def test_an_irradiance_file_gives_the_year_of_the_pure_room(plain, office):
    content = irradiance_csv()
    kept = keep(plain, office, kind="irradiance", content=content)
    result = year(plain, replace(GIVEN, irradiance_key=kept.key), office).result
    weather = read_irradiance(content, region(3), clock="utc", stamps="begin")
    use = household_load(3500)
    assert figures_of(result) == figures_of(energy_year(PLANT, sun_of_weather(weather), use))
    typical = energy_year(PLANT, typical_sun(region(3)), use)
    assert result.figures.made != typical.figures.made


def evening_csv(*, at="18:00"):
    """The house uses 2 kWh in one half hour of each day and nothing else; invented."""
    begin = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
    cases = ["time,use kWh"]
    for n in range(17_520):
        stamp = begin + dt.timedelta(minutes=30 * n)
        cases.append(f"{stamp:%Y-%m-%d %H:%M},{2 if f'{stamp:%H:%M}' == at else 0}")
    return ("\n".join(cases) + "\n").encode()


@pytest.mark.parametrize(("stamps", "half_hour"), [("begin", 36), ("end", 35)])
def test_what_stamps_stand_for_reaches_the_year(plain, office, stamps, half_hour):
    """18:00 is the half hour from six where stamps begin it, and that before where they end it."""
    kept = keep(plain, office, content=evening_csv(), stamps=stamps)
    result = year(plain, Given(region=3, meter_key=kept.key), office).result
    load = read_meter(evening_csv(), clock="utc", stamps=stamps)
    assert figures_of(result) == figures_of(energy_year(PLANT, typical_sun(region(3)), load))
    used = result.winter.used_kw
    assert used.index(max(used)) == half_hour


@pytest.mark.parametrize(("stamps", "other"), [("begin", "end"), ("end", "begin")])
def test_what_stamps_of_light_stand_for_reaches_the_year(plain, office, stamps, other):
    content = irradiance_csv()
    kept = keep(plain, office, kind="irradiance", content=content, stamps=stamps)
    result = year(plain, replace(GIVEN, irradiance_key=kept.key), office).result
    asked, not_asked = (
        energy_year(
            PLANT,
            sun_of_weather(read_irradiance(content, region(3), clock="utc", stamps=each)),
            household_load(3500),
        )
        for each in (stamps, other)
    )
    assert figures_of(result) == figures_of(asked)
    assert result.figures != not_asked.figures


def test_a_measured_yield_holds_in_the_shape_of_an_irradiance_file(plain, office):
    kept = keep(plain, office, kind="irradiance", content=irradiance_csv())
    given = replace(GIVEN, irradiance_key=kept.key, measured_yield_kwh=3600, measured_peak_w=4400)
    result = year(plain, given, office).result
    assert result.figures.made == pytest.approx(3600, rel=1e-3)
    assert "spread over the year as the uploaded irradiance has it" in " ".join(result.method)


def test_windows_prices_and_steps_reach_the_year(plain, office):
    given = replace(
        GIVEN, step_minutes=15, cheap=Window(1410, 330), sell=Window(960, 1140),
        import_pence=Decimal("26.50"), export_pence=Decimal("15.00"),
        cheap_pence=Decimal("9.25"), sell_pence=Decimal("28.00"),
    )  # fmt: skip
    result = year(plain, given, office).result
    options = Options(
        step_minutes=15, cheap=Window(1410, 330), sell=Window(960, 1140),
        prices=Prices(import_pence=26.5, export_pence=15, cheap_pence=9.25, sell_pence=28),
    )  # fmt: skip
    expected = energy_year(PLANT, typical_sun(region(3)), household_load(3500), options)
    assert figures_of(result) == figures_of(expected)
    assert result.figures.sold > 0
    assert result.figures.bought > 0


def test_money_is_energy_times_price(plain, office):
    """Without windows: pounds are kWh x pence / 100."""
    given = replace(GIVEN, import_pence=Decimal("26.50"), export_pence=Decimal("15.00"))
    result = year(plain, given, office).result
    figures, money = result.figures, result.money
    assert money.import_cost == pytest.approx(figures.imported * 26.5 / 100)
    assert money.export_value == pytest.approx(figures.exported * 15 / 100)
    assert money.lost_value == 0


def test_the_same_file_is_kept_once(plain, office, engineer):
    first = keep(plain, office)
    assert keep(plain, engineer) == first
    assert keep(plain, office, stamps="end") != first
    assert keep(make_premises(), office) != first
    assert {each.sha256 for each in EnergyFile.objects.all()} == {first.sha256}
    events = Event.objects.filter(act="energy.file-kept")
    assert events.count() == 3
    # The name may be a customer's; it stands in no event.
    assert all("meter.csv" not in str(each.data) for each in events)


def test_a_file_is_read_again_in_another_way(plain, office):
    kept = make_energy_file(plain, by=office)
    assert read_again(file=kept, how=HowRead("utc"), region=3, by=office) == kept
    other = read_again(file=kept, how=HowRead("utc", "end"), region=3, by=office)
    assert (other.sha256, other.clock, other.stamps) == (kept.sha256, "utc", "end")
    assert other.name == kept.name
    with pytest.raises(RefusedError, match="in the hour that clocks leave out in spring"):
        read_again(file=kept, how=HowRead("local"), region=3, by=office)


@pytest.mark.parametrize(
    ("content", "more", "says"),
    [
        (b"", {}, "The file is empty"),
        (b"time,use kWh\n2025-01-01 00:00,much\n", {}, "Line 2, column use kWh: “much” is no numb"),
        (b"PK\x03\x04", {}, "It is no text file. Save the sheet as CSV"),
        (b"x" * 6_000_001, {}, "It has 6.0 MB; 6 MB are taken"),
        (meter_csv(), {"unit": "W"}, "Line 1, column use kWh: The column says kWh, and W was"),
        (meter_csv(), {"kind": "irradiance"}, "Line 1: There is no column ghi."),
        (meter_csv(), {"kind": "irradiance", "at": 0}, "Pick the region"),
    ],
)
def test_what_cannot_be_read_is_no_row_and_no_file(plain, office, store, content, more, says):
    with pytest.raises(RefusedError, match=says) as refused:
        keep(plain, office, content=content, **more)
    assert refused.value.field == f"{more.get('kind', 'meter')}_file"
    assert not EnergyFile.objects.exists()
    assert not store.exists()


@pytest.mark.parametrize("kind", ["meter", "irradiance"])
def test_a_file_of_another_premises_cannot_be_entered(plain, office, kind):
    content = meter_csv() if kind == "meter" else irradiance_csv()
    other = keep(make_premises(), office, kind=kind, content=content)
    use = {"yearly_use_kwh": None} if kind == "meter" else {}
    with pytest.raises(RefusedError, match="not among those of this premises") as refused:
        enter_inputs(
            premises=plain.premises, given=replace(GIVEN, **use, **{f"{kind}_key": other.key}),
            seen="", by=office,
        )  # fmt: skip
    assert refused.value.field == f"{kind}_file"


def test_light_is_read_once_more_for_another_region(plain, office, monkeypatch):
    kept = keep(plain, office, kind="irradiance", content=irradiance_csv())

    def dark(_kind, _content, _how, number):
        raise EnergyError(f"It is night in {region(number).name}.")

    monkeypatch.setattr("sites.energy.reading.files.read_content", dark)
    with pytest.raises(RefusedError, match=r"irradiance\.csv: It is night in Orkney"):
        enter_inputs(
            premises=plain.premises, given=replace(GIVEN, region=19, irradiance_key=kept.key),
            seen="", by=office,
        )  # fmt: skip


def test_a_file_that_is_gone_is_said_in_words(plain, office):
    kept = keep(plain, office)
    given = Given(region=3, meter_key=kept.key)
    enter_inputs(premises=plain.premises, given=given, seen="", by=office)
    ask_for_years(premises=plain.premises, by=office)
    storage.remove(kept.sha256)
    work = plain.design.work.get()
    assert not work_out(str(work.key), work.digest)
    state = side_by_side(plain.premises).designs[0].year
    assert state.kind == "failed"
    assert "is not in the store" in state.says[0]
    shown = file_shown(kept, 3)
    assert shown.holds is None
    assert shown.fault == "The file meter.csv is not in the store any more."
    with pytest.raises(RefusedError, match="is not in the store any more"):
        read_again(file=kept, how=HowRead("utc"), region=3, by=office)


def test_what_nobody_entered_is_swept_with_its_row(plain, office, capsys):
    entered, left = keep(plain, office), keep(plain, office, content=meter_csv(kwh=0.1))
    given = Given(region=3, meter_key=entered.key)
    enter_inputs(premises=plain.premises, given=given, seen="", by=office)
    day = time.time() - 2 * 86_400
    for each in (entered, left):
        os.utime(storage.path_of(each.sha256), (day, day))
    call_command("sweep_files")
    assert EnergyFile.objects.count() == 2
    EnergyFile.objects.update(added_at=timezone.now() - dt.timedelta(days=2))
    call_command("sweep_files", show=True)
    assert left.sha256 in capsys.readouterr().out
    assert EnergyFile.objects.count() == 2
    call_command("sweep_files")
    assert EnergyFile.objects.get() == entered
    assert not storage.path_of(left.sha256).exists()
    assert storage.path_of(entered.sha256).exists()


def test_a_file_that_is_sent_anew_is_young_again(plain, office):
    """It was kept long ago and never entered; sent again, a sweep leaves it to be entered."""
    file = make_energy_file(plain, by=office)
    EnergyFile.objects.update(added_at=timezone.now() - dt.timedelta(hours=30))
    again = make_energy_file(plain, by=office)
    assert again.pk == file.pk
    call_command("sweep_files")
    assert EnergyFile.objects.filter(pk=file.pk).exists()
