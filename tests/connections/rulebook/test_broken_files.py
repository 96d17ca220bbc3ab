"""Every way in which a file can be wrong has a file that is, and the words it is refused with.

Each file has one fault: a good file with a patch of `broken.toml`, which says where it stands and
the message that it is refused with, after the file's name.
"""

import datetime as dt
from pathlib import Path

import pytest

from connections.rulebook.load import RulebookError, load_books, resolve
from tests.connections.rulebook.broken_files import GOOD, broken_files, patched

BROKEN = broken_files()


def load(of: str, text: str, data: Path) -> str:
    """Load a text in the place of such a file, and say what the file is called."""
    file = {
        "edition": "editions/small/edition.toml",
        "operator": "operators/operator.toml",
        "register": "sources.toml",
        "area": "areas.toml",
    }.get(of, "../local.toml")
    path = data / file
    path.write_text(text)
    local = (path,) if file == "../local.toml" else ()
    try:
        resolve(load_books(data), on=dt.date(2026, 1, 1), local=local)
    finally:
        load_books.cache_clear()
    return file.removeprefix("../")


@pytest.mark.parametrize("name", BROKEN)
def test_refused(name: str, small_data: Path) -> None:
    broken = BROKEN[name]
    with pytest.raises(RulebookError) as refused:
        load(broken.of, broken.text, small_data)
    assert str(refused.value) == f"{refused.value.file}: {broken.refused}"
    assert refused.value.file == load(broken.of, GOOD[broken.of].read_text(), small_data)


@pytest.mark.parametrize("of", GOOD)
def test_the_files_that_they_are_one_fault_away_from_load(of: str, small_data: Path) -> None:
    load(of, GOOD[of].read_text(), small_data)
    load(of, patched(GOOD[of].read_text(), {}), small_data)


def test_there_are_broken_files() -> None:
    assert len(BROKEN) >= 132


def test_a_patch_of_a_table_that_is_not_there_is_refused() -> None:
    with pytest.raises(KeyError, match=r"value a\.lim"):
        patched(GOOD["edition"].read_text(), {"value a.lim": ["unit ="]})


def test_the_file_that_they_are_one_fault_away_from_loads(small_data: Path) -> None:
    book = resolve(load_books(small_data), on=dt.date(2026, 1, 1))
    assert book.whole("a.limit") == 16_000
    assert [row.id for row in book.table] == ["small", "large"]


def test_the_message_names_the_file_of_an_edition_in_several(small_data: Path) -> None:
    folder = small_data / "editions/small"
    text = (folder / "edition.toml").read_text()
    cut = text.index("[[outcome]]")
    (folder / "edition.toml").write_text(text[:cut])
    (folder / "table.toml").write_text(text[cut:])
    assert load_books(small_data).editions[0].rows
    (folder / "table.toml").write_text(text[cut:].replace('above = "a.limit"', 'above = "a.lim"'))
    load_books.cache_clear()
    with pytest.raises(RulebookError) as refused:
        load_books(small_data)
    assert str(refused.value) == (
        'editions/small/table.toml: row large: there is no value "a.lim"; check its spelling'
    )


def test_a_file_beside_the_editions_is_refused(small_data: Path) -> None:
    (small_data / "editions/stray.toml").write_text("")
    with pytest.raises(RulebookError, match=r"^editions/stray\.toml: give each edition a folder"):
        load_books(small_data)


def test_bytes_that_are_no_text_are_refused(small_data: Path) -> None:
    (small_data / "sources.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(RulebookError, match=r"^sources\.toml: this is not UTF-8 text$"):
        load_books(small_data)


def test_a_missing_register_is_refused(small_data: Path) -> None:
    (small_data / "sources.toml").unlink()
    with pytest.raises(RulebookError, match=r"^sources\.toml: can't be read: No such file"):
        load_books(small_data)
