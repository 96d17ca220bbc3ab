"""The energy year on the page of designs: the form, what is said before, while and after it is
worked out, and its rows in the table."""

import datetime as dt
import io

import pikepdf
import pypdfium2
import pytest
from django.urls import reverse
from django.utils import timezone

from sites.designs.reading.side_by_side import side_by_side
from sites.designs.writing.designs import copy_design
from sites.energy.models import EnergyInputs
from sites.energy.words.months import month_table
from sites.energy.words.plots import plots_of
from sites.house.models import Event, Work
from sites.house.models.work import YEAR
from sites.house.writing.working_out import work_out
from sites.premises.models import Array
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db

TYPED = {"seen": "", "region": "3", "yearly_use_kwh": "3500"}


@pytest.fixture
def office(client):
    person = make_person("office")
    client.force_login(person)
    return person


@pytest.fixture
def case(office):
    return make_premises(by=office)


def page(client, case, **query):
    return client.get(reverse("designs", args=[case.premises.key]), query).content.decode()


def send(client, case, **typed):
    address = reverse("designs-energy", args=[case.premises.key])
    return client.post(address, {**TYPED, **typed}, follow=True)


def do(case):
    for row in Work.objects.filter(kind=YEAR, design__premises=case.premises, done_at__isnull=True):
        work_out(str(row.key), row.digest)


def answers(case, question, order=""):
    compared = side_by_side(case.premises, order)
    return next(
        row.answers for group in compared.groups for row in group.rows if row.question == question
    )


def test_before_anything_is_entered_the_page_says_what_is_needed(client, case):
    words = page(client, case)
    assert "Needs the region and the yearly use: enter them below." in words
    assert "3  Southern England" in words
    assert "UK average" not in words
    assert "Made" not in [row.question for row in side_by_side(case.premises).groups[4].rows]


def test_what_is_entered_is_worked_out_and_stands_in_the_table(client, case, office):
    words = send(client, case).content.decode()
    assert "Energy years: 0 of 1 worked out" in words
    assert "Being worked out." in words
    assert f"Entered by {office} on" in words
    do(case)
    words = page(client, case)
    assert "Worked out in steps of 30 minutes." in words
    assert "typical year of the region Southern England" in words
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    assert result.low is not None
    assert result.high is not None
    made = f"{result.figures.made:,.0f} kWh"
    low, high = (f"{case.figures.made:,.0f} kWh" for case in (result.low, result.high))
    assert answers(case, "Made") == ((made, f"low case {low}, high case {high}"),)
    assert made in words
    assert answers(case, "Lost behind the export limit") == (("none: export is not limited",),)
    for sentence in ("Standard Assessment Procedure, Appendix U", "Low case: sun at 95%"):
        assert sentence in words
    acts = list(Event.objects.filter(actor_key=office.key).values_list("act", flat=True))
    assert {"energy.entered", "energy.asked"} <= set(acts)


def test_conversions_with_their_range_and_source(case):
    # 0.96 x 0.96 x 0.96 x 0.95; lowest 0.956 x 0.943^2 x 0.948, highest 0.982 x 0.976^2 x 0.969.
    assert answers(case, "From sun to cells to house") == (
        (
            "84.0% (80.6% to 90.6%)",
            "3 conversions and the cells: 0.96 x 0.96 x 0.96 x 0.95",
        ),
    )
    # 0.96 x 0.96 x 0.95; lowest 0.943^2 x 0.948, highest 0.976^2 x 0.969.
    assert answers(case, "From network to cells to house")[0][0] == "87.6% (84.3% to 92.3%)"
    assert answers(case, "From sun to house")[0][0] == "96.0% (95.6% to 98.2%)"
    assert "published measurements" in side_by_side(case.premises).groups[5].source


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"region": ""}, "Pick the region."),
        ({"region": "0"}, "Pick a region."),
        ({"yearly_use_kwh": ""}, "Give the use of a year in kWh, or a file of meter readings."),
        ({"yearly_use_kwh": "much"}, "is not one number with a unit; write it as in "),
        ({"yearly_use_kwh": "-1"}, "be negative; write it without the minus."),
        ({"yearly_use_kwh": "10000001"}, "Give 0 to 10,000,000 kWh."),
        ({"measured_yield_kwh": "3600"}, "Give the peak power of the panels"),
        ({"measured_yield_kwh": "36000", "measured_kwp": "4.4"}, "8,182 kWh for each kWp"),
        ({"measured_kwp": "4,400"}, "can be read in two ways; write 4400 or 4.400."),
    ],
)
def test_a_fault_stands_at_its_box_with_what_was_typed(client, case, typed, says):
    answer = send(client, case, **typed)
    assert answer.status_code == 422
    words = answer.content.decode()
    assert words.count(says) == 2  # in the summary and at the box
    for value in typed.values():
        assert value in words
    # What is sent stands under another address, so links of the page name theirs whole.
    assert 'href="?' not in words
    assert not EnergyInputs.objects.exists()


def test_who_comes_second_sees_what_holds_and_may_send_again(client, case):
    send(client, case)
    answer = send(client, case, yearly_use_kwh="5000")
    words = answer.content.decode()
    assert answer.status_code == 422
    assert "Somebody else entered a region and use" in words
    assert "use of 3,500 kWh a year" in words
    seen = str(EnergyInputs.objects.get().key)
    assert f'value="{seen}"' in words
    assert send(client, case, yearly_use_kwh="5000", seen=seen).status_code == 200
    assert EnergyInputs.objects.filter(yearly_use_kwh=5000).exists()


def test_a_changed_design_has_a_button(client, case, office):
    copy_design(design=case.design, name="Second", by=office)
    send(client, case)
    do(case)
    assert "not worked out for what stands here" not in page(client, case)
    Array.objects.filter(design__name="Second").update(peak_w=6000)
    words = page(client, case)
    assert "Not worked out for this" in words
    assert "energy year of 1 design is not worked out for what stands here" in words
    address = reverse("designs-energy-ask", args=[case.premises.key])
    assert f'action="{address}"' in words
    assert "Being worked out" in client.post(address, follow=True).content.decode()
    do(case)
    # 6 kWp in place of 4.4 behind the same 3.6 kW make more, and are clipped more.
    assert side_by_side(case.premises, "made").designs[0].name == "Second"
    assert side_by_side(case.premises, "clipped").designs[1].name == "Second"
    clipped = answers(case, "Clipped at the inverter")
    assert clipped[0][0] == "none"
    assert clipped[1][0].endswith(" kWh")
    assert "most made in a year" in page(client, case, by="made")
    again = client.post(address, follow=True).content.decode()
    assert "worked out already" in again


def test_what_is_missing_stands_in_the_table(client, office):
    case = make_premises(arrays=[])
    words = send(client, case).content.decode()
    assert "Needs the panels behind pv-1: peak power, tilt and azimuth." in words
    assert "No design has all the facts that a year needs" in words


def test_progress_asks_again_only_while_a_year_waits(client, case):
    address = reverse("designs-energy-progress", args=[case.premises.key])
    send(client, case)
    answer = client.get(address)
    assert "hx-trigger" in answer.content.decode()
    assert "hx-select" not in answer.content.decode()
    assert "Nothing was done for a while" not in answer.content.decode()
    Work.objects.filter(kind=YEAR).update(asked_at=timezone.now() - dt.timedelta(minutes=2))
    assert "Ask for the rest again" in client.get(address).content.decode()
    do(case)
    answer = client.get(address)
    assert "every 2s" not in answer.content.decode()
    # The results alone are fetched, in the order of the page that asks: the form is left alone.
    page_address = reverse("designs", args=[case.premises.key])
    words = client.get(
        address, headers={"HX-Request": "true", "HX-Current-URL": f"http://x{page_address}?by=made"}
    ).content.decode()
    assert f'hx-get="{page_address}?by=made"' in words
    assert 'hx-select="#designs-result"' in words
    result, form = page(client, case).split('id="designs-result"')[1].split('id="energy"')
    assert "Comparison of designs" in result
    assert 'id="year-1"' in result
    assert "energy-form" in form
    Work.objects.filter(kind=YEAR).update(fault="It cannot be.", results=None)
    assert "energy year of 1 design is not worked out" in client.get(address).content.decode()


def elements(kids):
    """All elements of a tree of structure."""
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            if "/K" in kid:
                yield from elements(kid.K)


def printed(client, case, **query):
    answer = client.get(reverse("designs-print", args=[case.premises.key]), query)
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def text_of(content):
    pdf = pypdfium2.PdfDocument(content)
    assert len(pdf) == 1
    return " ".join(pdf[0].get_textpage().get_text_range().split())


def test_the_customers_page_has_the_year_and_its_plots(client, case):
    send(client, case)
    do(case)
    content = printed(client, case)
    text = text_of(content)
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    assert result.low is not None
    assert result.high is not None
    for of in ("made", "on_site", "exported", "imported"):
        assert f"{getattr(result.figures, of):,.0f} kWh" in text
    low, high = result.low.figures.made, result.high.figures.made
    made = f"{result.figures.made:,.0f} kWh ({low:,.0f} to {high:,.0f})"
    assert f"Made from the sun in a year {made}" in text
    assert "sun to battery to house: 84 (81 to 91)" in text
    assert "typical year of the region Southern England" in text
    assert "Steps of 30 minutes" in text
    assert f"A summer day: {result.summer.name}" in text
    assert "The energy year with" not in text  # there is one
    with pikepdf.open(io.BytesIO(content)) as pdf:
        told = [str(e.Alt) for e in elements(pdf.Root.StructTreeRoot.K) if e.S == "/Figure"]
    assert len(told) == 3
    assert told[0].startswith(f"A summer day, {result.summer.name}, the sunniest day")
    assert told[1].startswith(f"A winter day, {result.winter.name}")
    june = result.months[5]
    assert f"June {june.on_site:,.0f}, {june.exported:,.0f}, 0;" in told[2]


def test_what_cells_took_from_the_network_is_not_called_the_suns(client, case):
    """What is used at home and what is sent out are then more than the sun made."""
    send(client, case, cheap_from="00:30", cheap_to="05:30")
    do(case)
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    figures = result.figures
    assert figures.on_site + figures.exported > figures.made
    bought = f"{figures.bought:,.0f} kWh"
    assert answers(case, "Into the cells from the network")[0][0] == bought
    assert "Part of what the battery gives was bought" in text_of(printed(client, case))
    assert "from the network" not in " ".join(answers(case, "Made")[0])


def test_without_a_year_the_customers_page_says_nothing_of_one(client, case):
    text = text_of(printed(client, case))
    assert "in a year" not in text
    assert "sun to house: 96 (96 to 98)" in text


def test_a_design_without_its_year_stands_beside_one_that_has_it(client, case, office):
    send(client, case)
    do(case)
    copy_design(design=case.design, name="Second", by=office)
    text = text_of(printed(client, case))
    assert "not worked out" in text
    assert "The energy year with Design 1" in text


@pytest.mark.parametrize("number", [2, 3, 4])
def test_designs_with_their_years_are_one_page(client, office, number):
    """Micro-inverters, cells and a scheme: the longest words that a home has."""
    units = home()["units"]
    units[0] |= {"rated_w": 350, "quantity": 11}
    limit = {"export": {"value": 3680, "basis": "w_total"}}
    case = make_premises(units=units, limits=limit)
    for name in ("With a name of many words", "Another of the designs", "The last of them")[
        : number - 1
    ]:
        copy_design(design=case.design, name=name, by=office)
    send(client, case)
    do(case)
    text = text_of(printed(client, case))
    assert "Not made: held back by the export limit" in text
    assert "limit 3.68 kW" in text


def test_the_page_draws_each_year_with_its_words(client, case):
    send(client, case)
    do(case)
    words = page(client, case)
    assert words.count('role="img"') == 3
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    summer, winter, months = plots_of(result)
    for plot in (summer, winter, months):
        assert f">{plot.description}</desc>" in words
    # Sums of the steps of the day, half an hour each.
    assert f"The house uses {sum(result.summer.used_kw) / 2:.1f} kWh" in summer.description
    assert f"Bought: {sum(result.winter.imported_kw) / 2:.1f} kWh" in winter.description
    for month in result.months:
        assert f'<th scope="row">{month.name}</th><td class="num">{month.made:.0f}</td>' in words


def figure(case, question, number=0):
    """The figure of a row [kWh], as it stands on the page."""
    words = answers(case, question)[number][0]
    return 0.0 if words == "none" else float(words.removesuffix(" kWh").replace(",", ""))


@pytest.mark.parametrize("window", [{}, {"cheap_from": "21:00", "cheap_to": "05:30"}])
def test_the_rows_of_the_table_add_up(client, case, window):
    send(client, case, **window)
    do(case)
    into = figure(case, "Made") + figure(case, "Into the cells from the network")
    ways = ("Used on site", "Exported", "Lost in conversion and cells",
            "Left in the cells at the end")  # fmt: skip
    assert into == pytest.approx(sum(figure(case, each) for each in ways), abs=0.01)
    assert figure(case, "Lost in conversion and cells") > 50
    assert (figure(case, "Left in the cells at the end") > 0) is bool(window)
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    lost = figure(case, "Lost in conversion and cells")
    assert lost == pytest.approx(result.figures.on_the_way, abs=3)


def test_without_cells_nothing_is_said_of_them(client, office):
    """Designs with cells and without: beside each other the rows stand for both."""
    case = make_premises(by=office)
    copy_design(design=case.design, name="Without cells", by=office)
    twin = case.premises.designs.get(name="Without cells")
    twin.cells_set.all().delete()
    twin.unit_set.filter(source="storage").delete()
    send(client, case)
    do(case)
    lost = answers(case, "Lost in conversion and cells")
    assert lost[0][0].endswith(" kWh")
    assert lost[1][0] == "none"
    case.design.cells_set.all().delete()
    case.design.unit_set.filter(source="storage").delete()
    client.post(reverse("designs-energy-ask", args=[case.premises.key]))
    do(case)
    rows = [row.question for group in side_by_side(case.premises).groups for row in group.rows]
    assert "Made" in rows
    assert "Lost in conversion and cells" not in rows
    assert "converting and storing" not in text_of(printed(client, case))


def test_the_customers_page_says_where_the_rest_goes(client, case):
    send(client, case)
    do(case)
    assert "The rest of what is made is lost in converting and storing it." in text_of(
        printed(client, case)
    )


@pytest.mark.parametrize("with_cells", [True, False])
def test_each_month_adds_up_as_shown(client, case, with_cells):
    if not with_cells:
        case.design.cells_set.all().delete()
        case.design.unit_set.filter(source="storage").delete()
    send(client, case, cheap_from="21:00", cheap_to="05:30")
    do(case)
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    table = month_table(result)
    assert [name for name, _ in table.rows][::11] == ["January", "December"]
    assert ("Lost in conversion and cells" in table.columns) is with_cells
    html = page(client, case)
    for column in table.columns:
        assert f'<th scope="col" class="num">{column}</th>' in html
    for name, figures in table.rows:
        assert len(figures) == len(table.columns)
        row = dict(
            zip(table.columns, (int(each.replace(",", "")) for each in figures), strict=True)
        )
        into = row["Made"] + row.get("Into the cells from the network", 0)
        out = row["of it from sun and cells"] + row["Exported"]
        out += row.get("Lost in conversion and cells", 0)
        out += row.get("More in the cells at its end", 0)
        # Without cells there is no figure that takes up what rounding leaves.
        assert abs(into - out) <= (0 if with_cells else 1), name


def test_cells_that_nothing_fills_are_told_what_they_need(client, case):
    """Cells alone: without a window in which they fill from the network the year is nothing."""
    case.design.array_set.all().delete()
    case.design.unit_set.exclude(source="storage").delete()
    send(client, case)
    do(case)
    words = page(client, case)
    assert "Its cells have nothing to fill from" in words
    assert "Give them below, under “Windows and prices”." in words
    # Two days with the use of the house, and no plot of a year in which nothing is.
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    assert [plot.title.split(":")[0] for plot in plots_of(result)] == [
        "A summer day", "A winter day",
    ]  # fmt: skip
    printed(client, case)
    seen = str(EnergyInputs.objects.get().key)
    send(client, case, cheap_from="00:30", cheap_to="05:30", seen=seen)
    do(case)
    assert "nothing to fill from" not in page(client, case)
    result = side_by_side(case.premises).designs[0].year.result
    assert result is not None
    assert len(plots_of(result)) == 3
