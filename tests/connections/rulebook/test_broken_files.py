"""Every way in which a file can be wrong has a file that is, and the words it is refused with.

Each file of `broken/` has one fault. Its first lines say what it is, where the file stands
("edition", "operator", "local", or in place of the "register" of sources or the "area" list) and
the message that it is refused with, after the file's name.
"""

import datetime as dt
import re
from pathlib import Path

import pytest

from connections.rulebook.load import RulebookError, load_books, resolve

BROKEN = sorted(Path(__file__).with_name("broken").glob("*.toml"))
HEAD = re.compile(
    r"# Fault: .+\.\n# Stands as: (edition|operator|local|register|area)\n# Refused: (.+)\n\n"
)


@pytest.mark.parametrize("broken", BROKEN, ids=[path.stem for path in BROKEN])
def test_refused(broken: Path, small_data: Path) -> None:
    text = broken.read_text()
    head = HEAD.match(text)
    assert head is not None
    stands_as, message = head.groups()
    file = {
        "edition": f"editions/small/{broken.name}",
        "operator": f"operators/{broken.name}",
        "local": broken.name,
        "register": "sources.toml",
        "area": "areas.toml",
    }[stands_as]
    if stands_as == "edition":
        (small_data / "editions/small/edition.toml").unlink()
    if stands_as != "local":
        (small_data / file).write_text(text)
    local = (broken,) if stands_as == "local" else ()
    with pytest.raises(RulebookError) as refused:
        resolve(load_books(small_data), on=dt.date(2026, 1, 1), local=local)
    assert str(refused.value) == f"{file}: {message}"
    assert refused.value.file == file


def test_there_are_broken_files() -> None:
    assert len(BROKEN) > 90


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
