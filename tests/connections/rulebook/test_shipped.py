"""The shipped files: what must be there, and what every entry must say."""

import datetime as dt

import pytest

from connections.facts.deciding import DECIDING_FACTS
from connections.facts.supply_number import SCHEMES, WEIGHTS
from connections.rulebook.book import Rulebook
from connections.rulebook.checking.fitting import asked_keys
from connections.rulebook.load import Books, resolve
from connections.rulebook.words import WORDS

OUTCOMES = [
    "nothing-parallel",
    "plug-in",
    "dc-side",
    "g98-single",
    "g98-several",
    "sgi-1",
    "sgi-2",
    "sgi-3",
    "g99-short",
    "g99-full-a",
    "g99-full-b",
    "beyond",
]

# Amounts and certainties: EREC G99 Issue 2 (2025), 6.2.2.1 to 6.2.2.4, 7.5.3, 7.6, section 4 and
# A.4.2.4.1, as read ("published"); the rest from public operator guidance ("secondary").
NUMBERS = [
    ("voltage.nominal", "mV", 230_000, "published"),
    ("g98.unit_limit", "mA", 16_000, "published"),
    ("g98.sum_limit", "mA", 16_000, "published"),
    ("sgi.design_limit", "mA", 32_000, "published"),
    ("sgi-1.unit_limit", "mA", 16_000, "published"),
    ("sgi-1.sum_limit", "mA", 16_000, "published"),
    ("sgi-2.unit_limit", "mA", 16_000, "published"),
    ("sgi-2.sum_limit", "mA", 32_000, "published"),
    ("sgi-2.export_limit", "mA", 16_000, "published"),
    ("sgi-3.unit_limit", "mA", 32_000, "published"),
    ("sgi-3.sum_limit", "mA", 60_000, "published"),
    ("sgi-3.export_limit", "mA", 32_000, "published"),
    ("sgi-3.sum_without_limit", "mA", 32_000, "published"),
    ("g99-short.single_limit", "W", 17_000, "secondary"),
    ("g99-short.three_limit", "W", 50_000, "secondary"),
    ("size.a_from", "W", 800, "published"),
    ("size.b_from", "W", 1_000_000, "published"),
    ("size.c_from", "W", 10_000_000, "published"),
    ("size.d_from", "W", 50_000_000, "published"),
    ("full_test.design_limit", "W", 50_000, "published"),
    ("supply.single_cap", "W", 17_000, "published"),
    ("supply.split_cap", "W", 34_000, "published"),
    ("supply.phase_cap", "W", 17_000, "published"),
    ("balance.limit", "mA", 32_000, "published"),
    ("nearby.distance", "m", 500, "secondary"),
    ("nearby.days", "days", 28, "secondary"),
    ("time.notify", "days", 28, "secondary"),
    ("time.confirm", "days", 28, "published"),
    ("time.sgi_answer", "working-days", 10, "published"),
    ("time.window_from", "working-days", 10, "published"),
    ("time.window_until", "months", 3, "published"),
    ("time.short_offer", "working-days", 45, "secondary"),
    ("time.hv_offer", "working-days", 65, "secondary"),
    ("time.commissioning_notice_b", "days", 28, "secondary"),
    ("replacement.module_share", "%", 80, "published"),
    ("sharing.export_limit", "mA", 32_000, "published"),
    ("offer.validity", "days", 90, "secondary"),
    ("time.load_notice", "days", 28, "secondary"),
    ("limitation.earlier_response", "ms", 5_000, "secondary"),
    ("power_factor.lowest", "thousandths", 950, "published"),
    ("protection.reconnect_delay", "ms", 20_000, "from memory"),
    ("limitation.response_limit", "ms", 60_000, "secondary"),
    # Public guidance on charging, loads and transmission, told of all areas (secondary).
    ("cutout.capacity_60_single", "VA", 13_800, "secondary"),
    ("load_notice.demand_limit", "mA", 60_000, "secondary"),
    ("load_notice.demand_limit_va", "VA", 13_800, "secondary"),
    ("cost.generation_threshold", "GBP/kW", 200, "secondary"),
    ("cost.demand_threshold", "GBP/kVA", 1_720, "secondary"),
    ("transmission.assess_from", "W", 5_000_000, "secondary"),
    ("transmission.assess_from_tight", "W", 1_000_000, "secondary"),
    ("transmission.tight_headroom", "A", 1_000, "secondary"),
    # Interim product specification 2.0, 4.1; SI 2026/848 as three notes quote it.
    ("plug_in.unit_limit", "W", 800, "secondary"),
    ("plug_in.apparent_limit", "VA", 800, "published"),
    ("plug_in.current_limit", "mA", 3500, "published"),
    ("plug_in.panels_limit", "Wp", 2000, "published"),
    ("plug_in.panels_looked_at", "Wp", 960, "published"),
    ("plug_in.panels_most", "count", 4, "published"),
    ("plug_in.series_most", "count", 2, "published"),
    # SI 2015/698, Schedule 1.
    ("payment.budget_estimate", "GBP", 65, "published"),
]
OTHERS = [
    ("g98.accepted_standards", ("G98",)),
    ("g98.accepted_earlier", ("G83",)),
    ("g98.islanding_reading", "strict"),
    ("sgi.accepted_standards", ("G98", "G99")),
    ("sgi.accepted_earlier", ("G83", "G59")),
    ("sgi-2.sum_reading", "strict"),
    ("sgi-3.sum_reading", "strict"),
    ("g99-short.reading", "strict"),
    ("balance.reading_one", "inclusive"),
    ("balance.reading_several", "strict"),
    ("earlier.before", dt.date(2019, 4, 27)),
    ("storage.separate_before", dt.date(2022, 9, 1)),
    ("storage.requirements_from", dt.date(2026, 3, 1)),
    ("plug_in.enabled", True),
    ("form.g98_several", "Form A"),
    ("form.g98_notification", "Form B"),
    ("form.sgi_application", "A1-2"),
    ("form.sgi_1_notification", "A3-3"),
    ("form.sgi_confirmation", "A3-2"),
    ("form.short_application", "A1-1"),
    ("form.test_inverter", "A2-3"),
    ("form.test_synchronous", "A2-1 or A2-2"),
    ("standard.g83.until", dt.date(2019, 4, 26)),
    ("standard.g98.issue_2_amendment_1_from", dt.date(2026, 8, 11)),
    ("standard.g98.plug_in_rules_from", dt.date(2026, 8, 27)),
    ("plug_in.from", dt.date(2026, 8, 27)),
    ("time.window_outcomes", ("sgi-2", "sgi-3")),
    ("limitation.form_c_for", ("relied-on",)),
    ("limitation.from", dt.date(2023, 5, 1)),
    ("wiring.standard", "BS 7671:2018+A4:2026"),
    ("limitation.earlier_quantity", "active power"),
    ("supply_number.scheme", "gb13"),
]


@pytest.mark.parametrize(("key", "unit", "amount", "certainty"), NUMBERS)
def test_numbers(book: Rulebook, key: str, unit: str, amount: int, certainty: str) -> None:
    value = book.values[key]
    assert (value.unit, book.whole(key), value.certainty) == (unit, amount, certainty)


@pytest.mark.parametrize(("key", "amount"), OTHERS)
def test_words_dates_and_switches(book: Rulebook, key: str, amount: object) -> None:
    assert book.amount(key) == amount


def test_sixteen_amps_are_3680_watts_exactly(book: Rulebook) -> None:
    # 16 A x 230 V = 3680 W: mA x mV are uW.
    assert book.whole("g98.unit_limit") * book.whole("voltage.nominal") == 3_680 * 10**6


def test_outcomes_in_the_order_in_which_they_are_tried(book: Rulebook) -> None:
    assert [outcome.key for outcome in book.outcomes] == OUTCOMES


def test_every_value_has_a_sentence_and_a_source_of_the_register(
    shipped: Books, book: Rulebook
) -> None:
    for value in book.values.values():
        assert value.says.endswith("."), value.key
        assert value.says.count(". ") == 0, value.key
        document = shipped.sources[value.source.document]
        assert value.source.title == document.title
        assert value.source.edition == document.edition
        assert bool(value.source.clause) >= document.has_clauses, value.key
        assert value.checked >= dt.date(2026, 11, 1), value.key


def test_every_outcome_has_a_step(book: Rulebook) -> None:
    for outcome in book.outcomes:
        first = [s for s in book.steps if outcome.key in s.outcomes and not s.only_if]
        last = [s for s in book.steps if outcome.key in s.outcomes]
        assert first or last, outcome.key


@pytest.mark.parametrize(
    ("outcome", "steps"),
    [
        # EREC G99 Issue 2, 6.2.2.1 to 6.2.2.4; public operator guidance for the rest.
        ("g98-single", [("after-commissioning", "notification", "Form B", False)]),
        (
            "g98-several",
            [
                ("before-work", "application", "Form A", True),
                ("after-commissioning", "notification", "Form B", False),
            ],
        ),
        ("sgi-1", [("after-commissioning", "notification", "A3-3", False)]),
        (
            "sgi-2",
            [
                ("before-work", "application", "A1-2", True),
                ("after-commissioning", "confirmation", "A3-2", False),
            ],
        ),
        (
            "sgi-3",
            [
                ("before-work", "application", "A1-2", True),
                ("after-commissioning", "confirmation", "A3-2", False),
            ],
        ),
        (
            "g99-short",
            [
                ("before-work", "application", "A1-1", True),
                ("after-commissioning", "confirmation", "A3-1", False),
            ],
        ),
        ("beyond", [("before-work", "ask", "", True)]),
    ],
)
def test_steps_that_always_follow(
    book: Rulebook, outcome: str, steps: list[tuple[str, str, str, bool]]
) -> None:
    found = [
        (s.when, s.what, book.text(s.form) if s.form else "", s.wait)
        for s in book.steps
        if outcome in s.outcomes and not s.only_if
    ]
    assert found == steps


def test_nothing_waits_after_the_work_but_for_the_last_notification(book: Rulebook) -> None:
    waiting = [s.id for s in book.steps if s.wait and s.when == "after-commissioning"]
    assert waiting == ["full-confirm-b"]


def test_steps_stand_in_the_order_of_the_work(book: Rulebook) -> None:
    order = ["before-work", "before-energising", "after-commissioning"]
    for outcome in OUTCOMES:
        places = [order.index(s.when) for s in book.steps if outcome in s.outcomes]
        assert places == sorted(places), outcome


def test_outcomes_where_the_text_is_silent_exist(book: Rulebook) -> None:
    assert set(book.words("neighbours.silent")) <= set(OUTCOMES)


def test_word_facts_have_their_words() -> None:
    assert {fact.name for fact in DECIDING_FACTS if fact.kind == "word"} == set(WORDS)


def test_the_check_weights_are_those_of_the_supply_number(book: Rulebook) -> None:
    assert tuple(int(w) for w in book.words("supply_number.check_weights")) == WEIGHTS


@pytest.mark.parametrize("nation", ["england", "northern_ireland", "ireland"])
def test_the_schemes_are_those_of_the_rulebooks(shipped: Books, nation: str) -> None:
    there = resolve(shipped, on=dt.date(2026, 11, 24), nation=nation)
    assert SCHEMES[there.text("supply_number.scheme")] == there.whole("supply_number.core_digits")


def test_both_dates_of_storage_tell_of_each_other(book: Rulebook) -> None:
    # Conflict in the sources: 1 March 2026 (secondary) and 1 September 2022 (published).
    assert "storage.requirements_from" in book.values["storage.separate_before"].note
    assert "1 September 2022" in book.values["storage.requirements_from"].note


# What an operator or a region has of its own: public design standard and guidance, in their areas.
LOCAL = [
    ("gb-12", "cutout.capacity_80_single", 18_000),
    ("gb-12", "cutout.capacity_100_single", 23_000),
    ("gb-19", "cutout.capacity_80_three", 55_000),
    ("gb-10", "cutout.capacity_100_three", 69_000),
    ("gb-12", "load_notice.ev_80_single", 3_600),
    ("gb-12", "load_notice.ev_100_single", 7_000),
    ("gb-12", "load_notice.ev_three_phase", 7_000),
    ("gb-12", "load_notice.ev_may_export", False),
    ("gb-13", "load_notice.fleet_share", 30),
    ("gb-18", "form.full_extra_from", 1_000_000),
    ("gb-16", "form.full_part_4_from", 150_000),
    ("gb-14", "form.full_parts", ("1", "2", "3")),
    ("gb-15", "nearby.proxy", "same partial postcode"),
    ("gb-20", "cost.small_to", 50_000),
    ("gb-17", "transmission.assess_from", 200_000),
    ("gb-18", "transmission.assess_from", 200_000),
    ("gb-17", "transmission.assess_from_islands", 50_000),
    ("gb-17", "transmission.managed_above", 3_680),
    ("gb-12", "transmission.assess_from", 5_000_000),
]


@pytest.mark.parametrize(("area", "key", "amount"), LOCAL)
def test_what_differs_by_area(shipped: Books, area: str, key: str, amount: object) -> None:
    assert resolve(shipped, on=dt.date(2026, 11, 24), area=area).amount(key) == amount


def test_what_changed_on_a_day(shipped: Books) -> None:
    # England and Wales: 1 MW until 11 May 2025, then 5 MW (secondary).
    key = "transmission.assess_from"
    assert resolve(shipped, on=dt.date(2025, 5, 11), area="gb-12").whole(key) == 1_000_000
    assert resolve(shipped, on=dt.date(2025, 5, 12), area="gb-12").whole(key) == 5_000_000
    # Reinforcement paid for in full until the charging changed (secondary).
    funded = "cost.funded_service"
    assert resolve(shipped, on=dt.date(2023, 3, 31), area="gb-11").whole(funded) == 100
    assert funded not in resolve(shipped, on=dt.date(2023, 4, 1), area="gb-11").values


def test_the_table_asks_only_for_what_is_there(shipped: Books, book: Rulebook) -> None:
    for edition in shipped.editions:
        for nation in edition.nations:
            there = resolve(shipped, on=edition.since, nation=nation)
            assert asked_keys(edition) <= there.values.keys(), edition.key


def test_the_one_area_with_a_value_of_its_own(shipped: Books) -> None:
    # Public operator design standard, London, South East and Eastern England, section 10.
    for area, days in (("gb-12", 0), ("gb-19", 0), ("gb-10", 0), ("gb-13", 28), ("", 28)):
        assert (
            resolve(shipped, on=dt.date(2026, 11, 24), area=area).whole("time.load_notice") == days
        )
    before = resolve(shipped, on=dt.date(2025, 7, 2), area="gb-12")
    assert before.whole("time.load_notice") == 28
