"""The rulebook's pages: what they show of the files, in any edition and place."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from connections.facts.declaring import declared, part_of
from connections.facts.site import Cable, Certificate, Panel, Site, Supply, Unit
from connections.rulebook.checking.table import TableReport
from connections.rulebook.load import load_books, resolve
from sites.looks.writing.local_entries import add_entry
from sites.rulebook.reading import table as rulebook_table
from tests.sites.rulebook.making import balance, cap, condition, reading

ON = "2026-11-25"
DAY = dt.date(2026, 11, 25)
PAGES = (
    "rulebook",
    "rulebook-values",
    "rulebook-table",
    "rulebook-steps",
    "rulebook-settings",
)
LONDON = {"where": "gb-12", "on": ON}


def places():
    """A place and a day in each edition, and one day after the newest begins."""
    return [
        pytest.param(where, day.isoformat(), id=f"{part.key} from {day}")
        for part in load_books().editions
        for where in ({"northern_ireland": "ni-1", "ireland": "ie-1"}.get(part.nations[0], ""),)
        for day in (part.since, *([part.until] if part.until else []))
    ]


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize(("where", "on"), places())
def test_every_edition_has_every_page(client, office, words, name, where, on):
    answer = client.get(reverse(name), {"where": where, "on": on})
    assert answer.status_code == 200
    page = words(answer)
    assert ">None<" not in answer.content.decode()
    assert "{{" not in page


class TestPlaceAndDay:
    def test_an_empty_address_is_today_at_home(self, client, office, words):
        assert "What holds in Great Britain, licence area not known on" in words(
            client.get(reverse("rulebook"))
        )

    def test_a_place_and_a_day_stay_in_the_addresses(self, client, office):
        page = client.get(reverse("rulebook"), LONDON).content.decode()
        if dt.date.today() == DAY:  # noqa: DTZ011 - today's day is left out of addresses
            assert f"{reverse('rulebook-table')}?where=gb-12" in page
        else:
            assert f"{reverse('rulebook-table')}?where=gb-12&amp;on={ON}" in page

    @pytest.mark.parametrize(
        ("asked", "box", "says"),
        [
            ({"where": "gb-99"}, "place-where", "There is no such place; choose one of the list."),
            ({"on": "soon"}, "place-on", "Give the date as day, month and year"),
            ({"on": "1999-01-01"}, "place-on", "No edition is known for 1999-01-01"),
            ({"where": "ie-1", "on": "2020-01-01"}, "place-on", "No edition is known for"),
        ],
    )
    @pytest.mark.parametrize("name", PAGES)
    def test_what_is_not_there_is_said_at_the_box(
        self, client, office, words, name, asked, box, says
    ):
        answer = client.get(reverse(name), asked)
        assert answer.status_code == 422
        assert words(answer).count(says) == 2  # at the box and in the summary
        assert f'<a href="#{box}">' in answer.content.decode()

    def test_the_masthead_leads_there(self, client, office):
        page = client.get(reverse("work-list")).content.decode()
        assert f'<a href="{reverse("rulebook")}">Rulebook</a>' in page


class TestIndex:
    def test_certainties_add_up_to_the_values(self, client, office):
        answer = client.get(reverse("rulebook"), LONDON)
        holds = answer.context["holds"]
        book = resolve(load_books(), on=DAY, area="gb-12")
        assert holds.values + holds.reference == len(book.values)
        assert holds.reference == len(book.reference)
        assert sum(acts for _, _, acts, _ in holds.certainties) == holds.values
        assert sum(kept for _, _, _, kept in holds.certainties) == holds.reference
        for certainty, _, acts, _ in holds.certainties:
            assert acts == sum(
                value.certainty == certainty and key not in book.reference
                for key, value in book.values.items()
            )

    def test_layers_of_the_place(self, client, office, words):
        page = words(client.get(reverse("rulebook"), LONDON))
        assert "Great Britain, connection rules of 2025 London, South East and Eastern" in page

    def test_what_is_covered_comes_from_the_files(self, client, office, words):
        page = words(client.get(reverse("rulebook"), {"on": ON}))
        for part in load_books().editions:
            assert part.edition in page
            assert part.key in page
        for area in load_books().areas:
            if not area.independent:
                assert area.name in page

    def test_what_is_not_covered(self, client, office, words):
        page = words(client.get(reverse("rulebook"), {"on": ON}))
        page = page[page.index("What is not covered") :]
        # Every rule that an outcome names as missing, and who is asked.
        for part in load_books().editions:
            if part.holds_on(DAY):
                for outcome in part.outcomes:
                    if outcome.missing:
                        assert f"the rule on {outcome.missing} is not held; ask" in page
        assert "Great Britain: nothing before 27 April 2019." in page
        assert "Ireland: no protection settings are held." in page

    def test_what_is_expected_to_move(self, client, office, words):
        """The review of the 3.68 kW threshold, and the guaranteed standards: consultation of the
        regulator, 8 December 2025 to 27 February 2026, whose decision was not found."""
        page = words(client.get(reverse("rulebook"), {"on": ON}))
        moves = page[page.index("What is expected to move") : page.index("Which values wait")]
        assert "review the threshold of 3.68 kW" in moves
        assert "strengthen the guaranteed standards" in moves
        assert "g98.sum_limit" in moves
        assert "EREC G98/NI Issue 2 (2026) exists, so this edition is out of date" in moves
        # Nothing of an edition that holds on other days.
        earlier = words(client.get(reverse("rulebook"), {"on": "2024-06-01"}))
        assert "3.68 kW" not in earlier.partition("What is expected to move")[2]

    def test_a_value_says_what_could_change_it(self, client, office, words):
        page = words(client.get(reverse("rulebook-value", args=["g98.sum_limit"]), {"on": ON}))
        assert "Expected to move The regulator proposed" in page
        other = words(client.get(reverse("rulebook-value", args=["time.confirm"]), {"on": ON}))
        assert "Expected to move" not in other

    def test_an_unsure_value_says_what_it_waits_for(self, client, office, words):
        page = words(client.get(reverse("rulebook-value", args=["time.notify"]), {"on": ON}))
        assert "Waits for EREC G98, Issue 2 Amendment 1 (2026)" in page
        sure = words(client.get(reverse("rulebook-value", args=["g98.sum_limit"]), {"on": ON}))
        assert "Waits for" not in sure

    def test_every_unsure_value_waits_for_one_document(self, client, office):
        answer = client.get(reverse("rulebook"), LONDON)
        book = answer.context["chosen"].book
        waiting = [v.key for each in answer.context["coverage"].awaited for v in each.values]
        unsure = [
            key
            for key, value in book.values.items()
            if value.certainty in ("secondary", "from memory") and key not in book.reference
        ]
        assert sorted(waiting) == sorted(unsure)
        # Days from memory and limits from operators' guidance wait for the recommendation itself.
        [g98] = [
            each.values
            for each in answer.context["coverage"].awaited
            if each.title == "EREC G98, Issue 2 Amendment 1 (2026)"
        ]
        assert {"time.notify", "g98.islanding_reading", "nearby.distance"} <= {v.key for v in g98}

    def test_the_areas_count_their_local_entries(self, client, engineer):
        add_entry(area="gb-12", entry=reading(), reason="Told.", by=engineer)
        add_entry(area="gb-12", entry=cap(), reason="Told.", by=engineer)
        areas = client.get(reverse("rulebook"), {"on": ON}).context["coverage"].areas
        assert {area.where: area.local for area in areas if area.local} == {"gb-12": 2}


class TestValues:
    def test_every_value_has_a_row_with_its_origin(self, client, office, rows_of):
        rows = rows_of(client.get(reverse("rulebook-values"), LONDON))
        book = resolve(load_books(), on=DAY, area="gb-12")
        for key, value in book.values.items():
            assert value.says in rows[key]
            assert value.source.title in rows[key]
            assert f"checked {value.checked.day} " in rows[key]

    @pytest.mark.parametrize("show", ["", "unsure"])
    def test_what_is_for_reference_stands_last_and_says_so(self, client, office, words, show):
        answer = client.get(reverse("rulebook-values"), {**LONDON, "show": show})
        *acting, last = answer.context["list"].groups
        book = resolve(load_books(), on=DAY, area="gb-12")
        assert last.reference
        assert last.title == "For reference; nothing acts on it"
        assert not any(group.reference for group in acting)
        shown = {value.key for value in last.values}
        assert "offer.shortest_validity" in shown
        assert "supply_number.core_digits" in shown or show
        assert shown <= book.reference
        assert book.reference.isdisjoint(v.key for group in acting for v in group.values)
        assert last.title in words(answer)

    def test_both_kinds_are_counted(self, client, office, words):
        book = resolve(load_books(), on=DAY, area="gb-12")
        page = words(client.get(reverse("rulebook-values"), LONDON))
        kept = len(book.reference)
        assert (
            f"{len(book.values) - kept} values that something acts on and {kept} for reference"
            in page
        )

    def test_dates_and_layers(self, client, office, rows_of):
        """The notice of loads: the operator of London says otherwise than the edition."""
        row = rows_of(client.get(reverse("rulebook-values"), LONDON))["time.load_notice"]
        assert "0 days" in row
        assert "from 3 July 2025" in row
        assert "London, South East and Eastern England, from July 2025, in place of 28 days" in row
        before = {"where": "gb-12", "on": "2025-07-02"}
        row = rows_of(client.get(reverse("rulebook-values"), before))["time.load_notice"]
        assert "28 days" in row
        assert "from 10 March 2025 until 2 July 2025, then 0 days" in row

    def test_a_local_entry_is_on_top_and_ends(self, client, engineer, rows_of):
        entry = balance("20 A", until=dt.date(2026, 12, 31))
        add_entry(area="", entry=entry, reason="Told.", by=engineer)
        row = rows_of(client.get(reverse("rulebook-values"), LONDON))["balance.limit"]
        assert "20 A" in row
        assert "until 31 December 2026, then 32 A" in row
        assert "Local entries for the whole firm, in place of 32 A" in row
        assert "local entry" in row

    @pytest.mark.parametrize(
        ("asked", "there", "gone"),
        [
            ("g98.unit_limit", "g98.unit_limit", "sgi-2.unit_limit"),
            ("UNIT limit", "sgi-2.unit_limit", "time.notify"),
            ("loss of mains", "protection.loss_of_mains", "balance.limit"),
            ("cut-out heat pumps", "cutout.capacity_60_single", "balance.limit"),
            # Words of the source.
            ("footnotes 11 to 13", "earlier.before", "balance.limit"),
        ],
    )
    def test_looking_for_words(self, client, office, rows_of, asked, there, gone):
        rows = rows_of(client.get(reverse("rulebook-values"), {**LONDON, "q": asked}))
        assert there in rows
        assert gone not in rows

    def test_nothing_found_says_what_to_do(self, client, office, words):
        page = words(client.get(reverse("rulebook-values"), {**LONDON, "q": "<b>herons</b>"}))
        assert "No value fits what you look for. Try fewer words, or show all" in page

    def test_what_is_typed_is_shown_and_not_run(self, client, office):
        page = client.get(reverse("rulebook-values"), {"q": '"><script>'}).content.decode()
        assert '"><script>' not in page
        assert "&quot;&gt;&lt;script&gt;" in page

    def test_only_the_unsure_oldest_check_first(self, client, office):
        answer = client.get(reverse("rulebook-values"), {**LONDON, "show": "unsure"})
        shown = [value for group in answer.context["list"].groups for value in group.values]
        book = resolve(load_books(), on=DAY, area="gb-12")
        unsure = {k for k, v in book.values.items() if v.certainty in ("secondary", "from memory")}
        assert {value.key for value in shown} == unsure
        # What is for reference has a group of its own, at the end.
        checks = [(value.key in book.reference, book.values[value.key].checked) for value in shown]
        assert checks == sorted(checks)

    @pytest.mark.parametrize("certainty", ["published", "secondary", "common practice"])
    def test_only_one_certainty(self, client, office, certainty):
        answer = client.get(reverse("rulebook-values"), {**LONDON, "show": certainty})
        shown = [value for group in answer.context["list"].groups for value in group.values]
        assert shown
        assert {value.certainty for value in shown} == {certainty}


class TestValue:
    def page(self, client, key, **asked):
        return client.get(reverse("rulebook-value", args=[key]), asked)

    def test_layers_history_and_elsewhere(self, client, office, words):
        page = words(self.page(client, "time.load_notice", where="gb-12", on=ON))
        layers = page[page.index("What each layer says") : page.index("Over time")]
        assert layers.index("this one holds 0 days") < layers.index("28 days")
        history = page[page.index("Over time") :]
        assert "10 March 2025 2 July 2025 28 days" in history
        assert "3 July 2025 holds on the day shown further notice 0 days" in history

    def test_an_operator_is_elsewhere_for_another_area(self, client, office, words):
        page = words(self.page(client, "time.load_notice", where="gb-14", on=ON))
        assert "28 days in West Midlands (gb-14)" in page
        elsewhere = page[page.index("Elsewhere") :]
        assert "London, South East and Eastern England, from July 2025" in elsewhere
        assert "0 days" in elsewhere

    def test_a_value_that_does_not_hold_here(self, client, office, words):
        answer = self.page(client, "g98.unit_limit", where="ie-1", on=ON)
        assert answer.status_code == 200
        page = words(answer)
        assert "The rulebook of Ireland on 25 November 2026 does not hold this value." in page
        assert "EREC" in page[page.index("Elsewhere") :]

    def test_a_value_for_reference_says_so(self, client, office, words):
        told = "Nothing in this program acts on this value; it is kept for reference."
        page = words(self.page(client, "offer.shortest_validity", where="gb-12", on=ON))
        assert told in page
        assert "Reckoned with as" not in page
        assert told not in words(self.page(client, "time.notify", where="gb-12", on=ON))

    def test_a_condition_of_the_firm_acts_on_what_it_names(self, client, engineer, words):
        when = [{"fact": "total_va", "above": "budget_estimate.split"}]
        entry = condition(content={"when": when})
        told = "Nothing in this program acts on this value"
        key = "budget_estimate.split"
        assert told in words(self.page(client, key, where="gb-12", on=ON))
        add_entry(area="gb-12", entry=entry, reason="Told.", by=engineer)
        page = words(self.page(client, key, where="gb-12", on=ON))
        assert told not in page
        assert f"Condition: {entry.content['says']}" in page

    def test_no_such_value(self, client, office):
        assert self.page(client, "g98.no_such").status_code == 404

    def test_rows_steps_and_conditions_that_use_it(self, client, engineer, words):
        entry = condition()  # above g98.sum_limit
        add_entry(area="gb-12", entry=entry, reason="Told.", by=engineer)
        answer = self.page(client, "g98.sum_limit", where="gb-12", on=ON)
        assert "Row g98-single: Connect and notify" in words(answer)
        assert f"Condition: {entry.content['says']}" in words(answer)
        answer = self.page(client, "time.sgi_answer", where="gb-12", on=ON)
        assert "Step: Apply to the network operator" in words(answer)
        answer = self.page(client, "balance.limit", where="gb-12", on=ON)
        assert "No row of the decision table, no step and no extra condition names it" in words(
            answer
        )

    @pytest.mark.parametrize(
        ("key", "says"),
        [("g98.unit_limit", "16,000 mA"), ("voltage.nominal", "230,000 mV")],
    )
    def test_the_whole_number_that_is_reckoned_with(self, client, office, words, key, says):
        assert f"Reckoned with as {says}" in words(self.page(client, key))

    def test_only_an_engineer_is_led_to_a_local_entry(self, client, office, words):
        assert "Enter what a network operator" not in words(self.page(client, "balance.limit"))

    def test_an_engineer_is(self, client, engineer):
        page = self.page(client, "balance.limit").content.decode()
        assert f"{reverse('local-new-value')}?key=balance.limit" in page


class TestTable:
    def test_rows_limits_and_sources(self, client, office, rows_of):
        """EREC G99 Issue 2, the table of 6.2.2.1 and clause 6.2.2.3."""
        rows = rows_of(client.get(reverse("rulebook-table"), {"on": ON}))
        book = resolve(load_books(), on=DAY)
        assert list(rows) == [f"row-{row.id}" for row in book.table]
        assert "at most 16 A" in rows["row-g98-single"]
        assert "6.2.2.1, table (published text)" in rows["row-g98-single"]
        assert "below 32 A ( exactly 32 A is left out )" in rows["row-sgi-2"]
        assert "single-phase or split" in rows["row-g99-short-single"]

    def test_a_reading_of_the_operator_is_told(self, client, engineer, rows_of):
        add_entry(area="gb-12", entry=reading(), reason="Told.", by=engineer)
        rows = rows_of(client.get(reverse("rulebook-table"), LONDON))
        assert "below 32 A ( exactly 32 A is let in )" in rows["row-sgi-2"]

    def test_every_condition_stands_in_its_column(self, client, office):
        table = client.get(reverse("rulebook-table"), {"on": ON}).context["table"]
        book = resolve(load_books(), on=DAY)
        for drawn, row in zip(table.rows, book.table, strict=True):
            asked = [
                column.fact
                for column, cell in zip(table.columns, drawn.cells, strict=True)
                for _ in cell.limits
            ]
            assert sorted(asked) == sorted(condition.fact for condition in row.when)

    def test_a_rule_that_is_not_held(self, client, office, rows_of):
        rows = rows_of(client.get(reverse("rulebook-table"), {"where": "ie-1", "on": ON}))
        assert "Not held: the rule on small-scale generation" in rows["row-missing-small-scale"]
        assert "Ask the network operator of Ireland." in rows["row-missing-small-scale"]

    def test_what_is_switched_off(self, client, office, words):
        told = "“Plug-in kit: the customer notifies” takes no part while plug_in.enabled is no"
        # The rules on plug-in kits are in force from 27 August 2026 on.
        for on, off in (("2026-08-26", True), ("2026-08-27", False)):
            page = words(client.get(reverse("rulebook-table"), {"on": on}))
            assert (told in page) is off

    def test_a_whole_table_says_so(self, client, office, words):
        page = words(client.get(reverse("rulebook-table"), {"on": ON}))
        assert "Every kind of site has a row, and every row and procedure can be reached." in page

    def test_gaps_and_rows_never_reached_are_said(self, client, office, words, monkeypatch):
        """Files with a gap don't load, so what the walk finds is put in its place."""
        found = TableReport(("total above 50000 W",), ("sgi-1",), ("beyond",))
        monkeypatch.setattr(rulebook_table, "table_report", lambda book: found)
        page = words(client.get(reverse("rulebook-table"), {"on": ON}))
        assert (
            "No row holds for a site with the aggregate registered capacity of the site: above "
            "50000 W." in page
        )
        assert "No site can reach the row sgi-1 : an earlier one always holds." in page
        assert "No site comes to “Larger than is prepared here”." in page


class TestStepsAndSettings:
    def test_every_step_with_its_conditions_and_time(self, client, office, words):
        page = words(client.get(reverse("rulebook-steps"), {"on": ON}))
        book = resolve(load_books(), on=DAY)
        for step in book.steps:
            assert step.says in page
        assert "Time 10 working days after it was sent" in page
        assert "Only if A counted synchronous unit is not fully type tested" in page
        assert "Only if The limitation scheme: type-tested or not-type-tested" in page

    def test_forms_with_the_steps_that_send_them(self, client, office, words):
        page = words(client.get(reverse("rulebook-steps"), {"on": ON}))
        forms = page[page.index("Forms Form What it is") :]
        assert "A1-2 form.sgi_application" in forms
        # No step sends the form of a maker's type test.
        row = forms[forms.index("form.g98_test") :]
        assert "for reference; nothing acts on it" in row[:300]

    def test_conditions_and_caps_of_local_entries(self, client, engineer, words):
        for entry in (cap(), condition()):
            add_entry(area="gb-12", entry=entry, reason="Told.", by=engineer)
        page = words(client.get(reverse("rulebook-steps"), LONDON))
        assert condition().content["says"] in page
        assert "at the feeder North 7 and in the postcode sector EX1 1 5 kW in all" in page
        assert "The aggregate registered capacity on the fullest phase: above 16 A" in page
        elsewhere = words(client.get(reverse("rulebook-steps"), {"where": "gb-14", "on": ON}))
        assert "No cap by feeder or postcode sector is held here." in elsewhere

    def test_settings(self, client, office, words):
        """EREC G99 Issue 2, Table 10.1: overvoltage stage 1 is 262.2 V after 1 s."""
        page = words(client.get(reverse("rulebook-settings"), {"on": ON}))
        assert "Overvoltage 1 262.2 V (+14 %) 1 s" in page
        assert "Table 10.1 and notes (published text)" in page

    def test_no_settings(self, client, office, words):
        page = words(client.get(reverse("rulebook-settings"), {"where": "ie-1", "on": ON}))
        assert "This rulebook holds no protection settings." in page


class TestSources:
    def test_the_whole_register(self, client, office, words):
        page = words(client.get(reverse("rulebook-sources")))
        for source in load_books().sources.values():
            assert source.title in page
            assert source.note in page

    def test_documents_of_local_entries(self, client, engineer, words):
        add_entry(area="gb-12", entry=reading(), reason="Told.", by=engineer)
        page = words(client.get(reverse("rulebook-sources")))
        assert "Letter of the network operator (invented)" in page


def test_the_words_of_a_site(client, office, words):
    page = words(client.get(reverse("rulebook-words")))
    for part in (Site, Supply, Unit, Cable, Panel, Certificate):
        for name, fact in declared(part).items():
            if part_of(part, name) is None:
                assert fact.label in page
                assert fact.says in page
    assert "Also called CSA, conductor size" in page


@pytest.mark.parametrize("name", [*PAGES, "rulebook-sources", "rulebook-difference"])
def test_the_queries_do_not_grow_with_entries(client, engineer, name):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            assert client.get(reverse(name), {"where": "gb-12"}).status_code == 200
        return len(captured)

    add_entry(area="gb-12", entry=cap(), reason="Told.", by=engineer)
    queries()
    few = queries()
    for n in range(6):
        entry = cap(about=f"feeder-{n}", content={"feeders": [f"F{n}"], "postcode_sectors": None})
        add_entry(area="gb-12", entry=entry, reason="Told.", by=engineer)
    queries()
    assert queries() == few <= 5


def test_no_page_names_a_style_or_runs_a_script(client, office):
    for name in PAGES:
        page = client.get(reverse(name)).content.decode()
        assert not re.search(r"\sstyle=|<script(?![^>]*\ssrc=)", page)
