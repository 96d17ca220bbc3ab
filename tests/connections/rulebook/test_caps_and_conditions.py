"""Caps on export and extra conditions: layers, days, what is kept, and what is different."""

import datetime as dt

import pytest

from connections.rulebook.book import Rulebook
from connections.rulebook.checking.gaps import change_days
from connections.rulebook.difference.finding import difference
from connections.rulebook.keeping import content_of, rulebook_from
from connections.rulebook.load import (
    RulebookError,
    check_local,
    load_books,
    read_local,
    resolve,
)
from connections.rulebook.schema import Part

DAY = dt.date(2026, 11, 24)


def part(body: str, *, areas: str = "", key: str = "firm") -> Part:
    """A local file of an invented firm."""
    head = (
        f'[book]\nformat = "rulebook/1"\nkind = "local"\nkey = "{key}"\ntitle = "Of {key}"\n'
        f"from = 2026-01-01\n{areas and f'areas = [{areas!r}]'}\n"
    )
    return read_local((head + body).encode(), f"{key}.toml")


def cap(id: str = "north", *, limit: str = "5 kW", more: str = "") -> str:
    return (
        f'\n[[export_cap]]\nid = "{id}"\nsays = "The feeder takes no more."\n'
        f'feeders = ["{id.title()} 7"]\nlimit = "{limit}"\nunit = "W"\nper = "total"\n'
        f'source = {{ document = "practice" }}\nchecked = 2026-11-24\n{more}'
    )


def condition(id: str = "drawing", *, asks: str = "Send it.", when: str = "") -> str:
    return (
        f'\n[[condition]]\nid = "{id}"\nsays = "The operator wants a drawing."\n{when}\n'
        f'severity = "decide"\nasks = "{asks}"\nsource = {{ document = "practice" }}\n'
        "checked = 2026-11-24\n"
    )


def book(*parts: Part, area: str = "gb-12", on: dt.date = DAY) -> Rulebook:
    return resolve(load_books(), on=on, area=area, local=parts)


def test_a_cap_as_it_is_read() -> None:
    (found,) = book(part(cap(limit="3.68 kW"))).caps
    assert (found.amount, found.unit, found.per, found.written) == (3680, "W", "total", "3.68 kW")
    assert (found.feeders, found.everywhere, found.layer) == (("North 7",), False, "firm")
    assert (found.certainty, str(found.source)) == ("local", "Common practice, no source")


def test_an_areas_file_lies_above_the_firms_whatever_their_order() -> None:
    for_all, for_area = part(cap() + condition()), part(
        cap(limit="4 kW") + condition(asks="Send two."), areas="gb-12", key="area"
    )  # fmt: skip
    for parts in ((for_all, for_area), (for_area, for_all)):
        here, elsewhere = book(*parts), book(*parts, area="gb-14")
        assert [(c.amount, c.layer) for c in here.caps] == [(4000, "area")]
        assert [c.asks for c in here.conditions] == ["Send two."]
        assert [(c.amount, c.layer) for c in elsewhere.caps] == [(5000, "firm")]
        assert [layer.key for layer in here.layers][-2:] == ["firm", "area"]


@pytest.mark.parametrize(
    ("on", "amounts"),
    [
        (dt.date(2026, 1, 31), []),
        (dt.date(2026, 2, 1), [5000]),
        (dt.date(2026, 3, 31), [5000]),
        (dt.date(2026, 4, 1), [4000]),
        (dt.date(2026, 12, 31), [4000]),
        (dt.date(2027, 1, 1), []),
    ],
)
def test_a_cap_holds_on_its_days(on: dt.date, amounts: list[int]) -> None:
    first = cap(more="from = 2026-02-01\nuntil = 2026-03-31\n")
    second = cap(limit="4 kW", more="from = 2026-04-01\nuntil = 2026-12-31\n")
    assert [found.amount for found in book(part(first + second), on=on).caps] == amounts


def test_the_days_of_caps_are_days_of_change() -> None:
    days = change_days([part(cap(more="from = 2026-02-01\nuntil = 2026-03-31\n"))])
    assert {dt.date(2026, 2, 1), dt.date(2026, 4, 1)} <= set(days)


def test_two_files_of_one_level_can_not_cap_one_place() -> None:
    other = cap("other").replace("Other 7", "north  7")
    parts = part(cap(), key="one"), part(other, key="two")
    with pytest.raises(RulebookError) as refused:
        book(*parts)
    assert str(refused.value) == (
        "two.toml: export cap other: north in one.toml caps feeder north  7 already on some of "
        "these days; end that first"
    )
    with pytest.raises(RulebookError, match="gives it too"):
        book(part(cap(), key="one"), part(cap(), key="two"))


def test_what_is_kept_has_them_and_what_has_none_is_kept_as_before() -> None:
    plain, whole = book(), book(part(cap() + condition()))
    assert b'"caps"' not in content_of(plain)
    again = rulebook_from(content_of(whole), DAY)
    assert (again.caps, again.conditions) == (whole.caps, whole.conditions)
    assert again.digest == whole.digest != plain.digest
    assert rulebook_from(content_of(plain), DAY).digest == plain.digest


def test_what_is_different_in_words() -> None:
    told = difference(book(), book(part(cap() + condition()))).sentences
    assert told == (
        "The cap on export north is new: 5 kW in all at the feeder North 7 (Common practice, no "
        "source; local).",
        "The condition drawing is new: the operator wants a drawing; it asks: send it (Common "
        "practice, no source; local).",
    )
    (lower,) = difference(book(part(cap())), book(part(cap(limit="4 kW")))).sentences
    assert lower == (
        "The cap on export north is 4 kW in all at the feeder North 7 instead of 5 kW in all at "
        "the feeder North 7 (Common practice, no source; local)."
    )
    (gone,) = difference(book(part(cap())), book()).sentences
    assert gone.startswith("The cap on export north ends (5 kW in all at the feeder North 7)")


def test_a_condition_is_asked_under_the_editions_that_hold_its_values() -> None:
    when = 'when = [{ fact = "largest_phase_sum", above = "g98.sum_limit" }]'
    local = part(condition(when=when))
    check_local(load_books(), [local])  # no other edition has to know the value
    assert [c.id for c in book(local).conditions] == ["drawing"]
    unknown = part(condition(when=when.replace("sum_limit", "sum_limits")))
    with pytest.raises(RulebookError) as refused:
        check_local(load_books(), [unknown])
    assert str(refused.value) == (
        'firm.toml: condition drawing: when 1: there is no value "g98.sum_limits"; check its '
        "spelling"
    )


def test_a_local_value_that_no_edition_knows_is_refused_at_the_door() -> None:
    value = (
        '\n[[value]]\nkey = "balance.limits"\nsays = "A limit."\nunit = "mA"\napplies_to = "x"\n'
        'value = "20 A"\nsource = { document = "practice" }\nchecked = 2026-11-24\n'
    )
    with pytest.raises(RulebookError, match=r"value balance\.limits: no edition has a value"):
        check_local(load_books(), [part(value)])


def test_a_line_of_a_value_may_say_more_than_the_value() -> None:
    value = (
        '\n[[value]]\nkey = "balance.limit"\nsays = "The first."\nunit = "mA"\napplies_to = "a"\n'
        'source = { document = "practice" }\nchecked = 2026-11-24\nvalues = [\n'
        '  { from = 2026-01-01, value = "20 A" },\n'
        '  { from = 2027-01-01, value = "10 A", says = "The next.", applies_to = "b",'
        " checked = 2026-12-01 },\n]\n"
    )
    local = part(value)
    found = [book(local, on=on).values["balance.limit"] for on in (DAY, dt.date(2027, 1, 1))]
    assert [(v.written, v.says, v.applies_to, v.checked.month) for v in found] == [
        ("20 A", "The first.", "a", 11),
        ("10 A", "The next.", "b", 12),
    ]
