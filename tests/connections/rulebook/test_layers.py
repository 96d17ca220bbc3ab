"""The operator's file lies on the edition, the firm's files on both; digests follow content."""

import datetime as dt
import shutil
from pathlib import Path

import msgspec
import pytest

from connections.rulebook.book import Rulebook
from connections.rulebook.keeping import content_of, rulebook_from
from connections.rulebook.load import RulebookError, load_books, load_local, read_local, resolve

FIXTURES = Path(__file__).with_name("fixtures")
LOCAL = FIXTURES / "local.toml"
DAY = dt.date(2026, 1, 1)


@pytest.fixture
def layered(small_data: Path) -> Path:
    shutil.copy(FIXTURES / "operator.toml", small_data / "operators/operator.toml")
    return small_data


def resolved(data: Path, *local: Path, area: str = "gb-12", on: dt.date = DAY) -> Rulebook:
    return resolve(load_books(data), on=on, area=area, local=local)


@pytest.mark.parametrize(
    ("area", "local", "ma", "layer", "layers"),
    [
        ("", (), 16_000, "small", ["small"]),
        ("gb-13", (), 16_000, "small", ["small"]),
        ("gb-12", (), 20_000, "local-operator", ["small", "local-operator"]),
        ("gb-12", (LOCAL,), 25_000, "the-firm", ["small", "local-operator", "the-firm"]),
        ("", (LOCAL,), 25_000, "the-firm", ["small", "the-firm"]),
    ],
)
def test_the_topmost_layer_wins(
    layered: Path, area: str, local: tuple[Path, ...], ma: int, layer: str, layers: list[str]
) -> None:
    book = resolved(layered, *local, area=area)
    assert book.whole("a.limit") == ma
    assert book.values["a.limit"].layer == layer
    assert [one.key for one in book.layers] == layers


def test_what_a_local_entry_carries(layered: Path) -> None:
    value = resolved(layered, LOCAL).values["firm.export"]
    assert (value.amount, value.unit, value.written) == (5_000, "W", "5 kW")
    assert value.certainty == "local"
    assert str(value.source) == "Letter of the operator, 3 November 2026"


def test_an_operator_adds_steps_and_leaves_the_table(layered: Path) -> None:
    plain, book = resolved(layered, area=""), resolved(layered)
    assert [step.id for step in plain.steps] == ["tell"]
    assert [step.id for step in book.steps] == ["tell", "ask-the-operator"]
    assert book.table == plain.table


def test_a_layer_holds_only_on_its_days(layered: Path) -> None:
    operator = layered / "operators/operator.toml"
    operator.write_text(
        operator.read_text().replace(
            "from = 2025-01-01", "from = 2026-01-01\nuntil = 2026-06-30", 1
        )
    )
    amounts = [
        resolved(layered, on=on).whole("a.limit")
        for on in (
            dt.date(2025, 12, 31),
            dt.date(2026, 1, 1),
            dt.date(2026, 6, 30),
            dt.date(2026, 7, 1),
        )
    ]
    assert amounts == [16_000, 20_000, 20_000, 16_000]


def test_a_local_entry_not_yet_in_force_leaves_what_lies_below(
    layered: Path, tmp_path: Path
) -> None:
    later = tmp_path / "later.toml"
    later.write_text(
        LOCAL.read_text().replace(
            'value = "25 A"', 'values = [{ from = 2026-02-01, value = "25 A" }]'
        )
    )
    assert resolved(layered, later).whole("a.limit") == 20_000
    assert resolved(layered, later, on=dt.date(2026, 2, 1)).whole("a.limit") == 25_000


def test_a_local_file_for_one_area(layered: Path, tmp_path: Path) -> None:
    ours = tmp_path / "ours.toml"
    ours.write_text(
        LOCAL.read_text().replace("from = 2025-01-01", 'from = 2025-01-01\nareas = ["gb-11"]', 1)
    )
    assert resolved(layered, ours, area="gb-12").whole("a.limit") == 20_000
    assert resolved(layered, ours, area="gb-11").whole("a.limit") == 25_000


def test_two_local_files_with_one_key(layered: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.toml"
    shutil.copy(LOCAL, again)
    with pytest.raises(RulebookError) as refused:
        resolved(layered, LOCAL, again)
    assert str(refused.value) == (
        "again.toml: value a.limit: local.toml gives it too; keep one of the two"
    )


def test_two_operator_files_with_one_key(layered: Path) -> None:
    shutil.copy(layered / "operators/operator.toml", layered / "operators/second.toml")
    with pytest.raises(RulebookError, match=r"operators/operator\.toml gives it too"):
        load_books(layered)


def test_a_local_file_that_is_not_there(layered: Path, tmp_path: Path) -> None:
    with pytest.raises(RulebookError, match=r"^gone.toml: can't be read: No such file"):
        resolved(layered, tmp_path / "gone.toml")


def test_local_entries_from_text(layered: Path) -> None:
    books = load_books(layered)
    part = read_local(LOCAL.read_bytes(), "local.toml", books)
    assert part == load_local(LOCAL, books)
    assert resolve(books, on=DAY, local=[part]) == resolve(books, on=DAY, local=[LOCAL])


def test_an_unknown_area(layered: Path) -> None:
    with pytest.raises(RulebookError, match=r'^area: there is no licence area "gb-99"$'):
        resolved(layered, area="gb-99")


def copy_of(data: Path, name: str) -> Path:
    return Path(shutil.copytree(data, data.parent / name))


def test_same_content_same_digest(layered: Path) -> None:
    first = resolved(layered, LOCAL)
    again = copy_of(layered, "again")
    edition = again / "editions/small/edition.toml"
    edition.write_text("# Another remark.\n" + edition.read_text())
    assert resolved(again, LOCAL).digest == first.digest
    assert len(first.digest) == 64


def test_days_on_which_the_same_holds_share_a_digest(layered: Path) -> None:
    today, tomorrow = resolved(layered), resolved(layered, on=DAY + dt.timedelta(days=1))
    assert today.digest == tomorrow.digest
    assert today.on_date != tomorrow.on_date


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("editions/small/edition.toml", '"16 A"', '"16.001 A"'),
        ("editions/small/edition.toml", '"17 kW"', '"18 kW"'),
        ("editions/small/edition.toml", "The largest current", "The greatest current"),
        ("editions/small/edition.toml", "checked = 2026-11-25", "checked = 2026-11-26"),
        ("editions/small/edition.toml", '"common practice"', '"from memory"'),
        ("editions/small/edition.toml", 'above = "a.limit"', 'at_least = "a.limit"'),
        ("editions/small/edition.toml", "wait = false", "wait = true"),
        ("editions/small/edition.toml", "184.0 V", "184.1 V"),
        ("editions/small/edition.toml", "It is small.", "It is not large."),
        ("operators/operator.toml", '"20 A"', '"21 A"'),
        ("areas.toml", "London", "Greater London"),
        ("sources.toml", "Common practice, no source", "Common practice"),
    ],
)
def test_any_change_changes_the_digest(layered: Path, file: str, old: str, new: str) -> None:
    before = resolved(layered)
    changed = copy_of(layered, "changed")
    text = (changed / file).read_text()
    assert old in text
    (changed / file).write_text(text.replace(old, new, 1))
    assert resolved(changed).digest != before.digest


def test_every_layer_has_its_own_digest(layered: Path) -> None:
    digests = {layer.digest for layer in resolved(layered, LOCAL).layers}
    assert len(digests) == 3


def test_kept_content_comes_back_as_it_was(book: Rulebook) -> None:
    content = content_of(book)
    # What overridden layers say, what is for reference and what is awaited stand outside the
    # content: not kept.
    kept = msgspec.structs.replace(book, beneath={}, given_by={}, awaited={}, reference=frozenset())
    assert rulebook_from(content, book.on_date) == kept
    assert content_of(rulebook_from(content, book.on_date)) == content


@pytest.mark.parametrize("content", [b"{}", b"[]", b"not JSON", b'{"values": {"a.b": {}}}'])
def test_other_bytes_are_not_a_rulebook(content: bytes) -> None:
    with pytest.raises(ValueError, match="not the content of a rulebook"):
        rulebook_from(content, DAY)
