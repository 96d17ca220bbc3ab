"""Entries to a local file and back, whatever stands in them."""

import datetime as dt
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from connections.rulebook.load import read_local
from connections.rulebook.local_text import Entry, entries_in, local_file

# What a file may hold: no control characters, and no blanks at the ends.
WORDS = st.text(
    st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters="\x7f"), min_size=1
).filter(lambda text: text.strip() == text)
SENTENCES = WORDS.map(lambda text: f"{text.rstrip('.')}x.")
DAYS = st.dates(dt.date(2025, 1, 1), dt.date(2030, 12, 31))
SOURCE = {"title": "Letter (invented)", "kind": "letter", "has_clauses": False}

AMOUNTS: list[tuple[str, str, Any]] = [
    ("balance.limit", "mA", "20 A"),
    ("g98.accepted_standards", "list", ["G98", "G99"]),
    ("earlier.before", "date", "2019-04-27"),
    ("plug_in.open", "yes-no", True),
    ("nearby.count", "count", 3),
]


@st.composite
def entries(draw: st.DrawFn) -> list[Entry]:
    """Entries of different things, one of each sort or none."""
    made = []
    for key, unit, amount in draw(st.lists(st.sampled_from(AMOUNTS), unique_by=lambda a: a[0])):
        content = {
            "says": draw(SENTENCES), "unit": unit, "applies_to": draw(WORDS),
            "checked": draw(DAYS).isoformat(), "value": amount,
        }  # fmt: skip
        made.append(draw(entry("value", key, content)))
    if draw(st.booleans()):
        content = {
            "says": draw(SENTENCES), "feeders": draw(st.lists(WORDS, min_size=1, unique=True)),
            "limit": "5 kW", "unit": "W", "per": "total", "checked": draw(DAYS).isoformat(),
        }  # fmt: skip
        made.append(draw(entry("export-cap", "a-cap", content)))
    if draw(st.booleans()):
        content = {
            "says": draw(SENTENCES), "when": [{"fact": "islanding", "is": "yes"}],
            "severity": "stops", "asks": draw(SENTENCES), "attachments": ["a", "b"],
            "checked": draw(DAYS).isoformat(),
        }  # fmt: skip
        made.append(draw(entry("condition", "a-condition", content)))
    return made


def entry(kind: Any, about: str, content: dict[str, Any]) -> st.SearchStrategy[Entry]:
    return st.builds(
        lambda since, days, clause, note, certainty: Entry(
            kind=kind,
            about=about,
            content=content,
            document="letter",
            source=SOURCE,
            clause=clause,
            certainty=certainty,
            note=note,
            since=since,
            until=None if days is None else since + dt.timedelta(days=days),
        ),
        DAYS,
        st.none() | st.integers(0, 900),
        st.just("") | WORDS,
        st.just("") | SENTENCES,
        st.sampled_from(["local", "secondary", "from memory"]),
    )


@given(entries())
def test_what_is_written_reads_back(made: list[Entry]) -> None:
    text = local_file(made, area="gb-12", title="For tests")
    read_local(text.encode(), "x.toml")  # the door
    read, areas = entries_in(text)
    assert areas == ("gb-12",)
    assert sorted(read, key=str) == sorted(made, key=str)
    assert local_file(read, area="gb-12", title="For tests") == text


def test_values_of_one_key_stand_in_one_table_in_the_order_of_their_days() -> None:
    content = {
        "says": "A limit.", "unit": "mA", "applies_to": "x", "checked": "2026-01-01",
        "value": "10 A",
    }  # fmt: skip
    later = Entry(
        "value", "balance.limit", content, "letter", SOURCE, "", "local", "",
        dt.date(2027, 1, 1), None,
    )  # fmt: skip
    first = Entry(
        "value", "balance.limit", {**content, "value": "20 A"}, "letter", SOURCE, "p. 1", "local",
        "", dt.date(2026, 1, 1), dt.date(2026, 12, 31),
    )  # fmt: skip
    text = local_file([later, first], area="", title="For tests")
    part = read_local(text.encode(), "x.toml")
    assert text.count("[[value]]") == text.count("[[source]]") == 1
    assert (part.since, part.areas) == (dt.date(2026, 1, 1), ())
    assert [s.written for s in part.values["balance.limit"].spells] == ["20 A", "10 A"]
    assert [s.source.clause for s in part.values["balance.limit"].spells] == ["p. 1", ""]


def test_what_never_holds_is_left_out() -> None:
    never = Entry(
        "value", "balance.limit", {"value": "1 A"}, "letter", SOURCE, "", "local", "",
        dt.date(2026, 1, 1), dt.date(2025, 12, 31),
    )  # fmt: skip
    text = local_file([never], area="", title="For tests")
    assert read_local(text.encode(), "x.toml").values == {}
