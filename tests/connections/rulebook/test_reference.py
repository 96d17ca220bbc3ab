"""What acts and what is kept for reference: each value of the shipped files is one of the two.

A value acts where a row, step or condition of the files names it, or where code outside the
rulebook and its pages has its key as a whole text. Uses are looked for in the files and in the
syntax of the code; nothing here lists a key of the shipped rulebook.
"""

import ast
import datetime as dt
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import pytest

from connections.facts.deciding import DECIDING_FACTS
from connections.rulebook.checking.fitting import asked_keys, keys_of
from connections.rulebook.keeping import content_of
from connections.rulebook.load import DATA, Books, RulebookError, load_books, resolve
from connections.rulebook.schema import Part

ROOT = DATA.parents[2]
ON = dt.date(2026, 1, 1)
KEY = re.compile(r"[a-z0-9_-]+(\.[a-z0-9_-]+)+")

SHOWING = ("connections/rulebook/", "sites/rulebook/")
"""Where values are read from files, checked and shown: none of that acts on one."""
BLOCKS = ("connections/pack/sections/",)
"""Where texts such as "limitation.export" are made as ids of a pack's blocks."""


def sources() -> dict[str, str]:
    """Every module of the program outside the rulebook itself, by its path."""
    found = {
        path.relative_to(ROOT).as_posix(): path.read_text()
        for floor in ("connections", "sites")
        for path in sorted((ROOT / floor).rglob("*.py"))
    }
    return {path: text for path, text in found.items() if not path.startswith(SHOWING)}


def whole_texts(code: str) -> set[str]:
    """The texts of some code that look like a key; a docstring is none of them."""
    tree = ast.parse(code)
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    return {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and id(node) not in told
        and isinstance(node.value, str)
        and KEY.fullmatch(node.value)
    }


def composed(code: str) -> Iterator[re.Pattern[str]]:
    """What f-strings and sums that begin with a group and a dot can make, as patterns."""
    for node in ast.walk(ast.parse(code)):
        parts = list(_parts(node))
        if len(parts) > 1 and re.match(r"[a-z0-9_-]+\.", parts[0] or ""):
            yield re.compile(
                "".join("[a-z0-9_.-]+" if part is None else re.escape(part) for part in parts)
            )


def _parts(node: ast.AST) -> Iterator[str | None]:
    """The pieces of a text that is put together; None for what only a run tells."""
    if isinstance(node, ast.JoinedStr):
        for piece in node.values:
            yield from _parts(piece)
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        yield from _parts(node.left)
        yield from _parts(node.right)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    else:
        yield None


def meet(layer: Part, edition: Part, books: Books) -> bool:
    """Whether an operator's file lies on an edition on some day."""
    nations = {n for area in books.areas if area.id in layer.areas for n in area.nations}
    both = layer.holds_on(edition.since) or edition.holds_on(layer.since)
    return both and not nations.isdisjoint(edition.nations)


def asked(part: Part) -> set[str]:
    """The keys that rows, steps and conditions of one file name."""
    return asked_keys(part).union(*(keys_of(dated.condition) for dated in part.conditions))


def acting(part: Part, books: Books, read: set[str]) -> set[str]:
    """The keys that act where a file holds: read by code, or named by it or what lies on it."""
    found = read | asked(part)
    for edition in books.editions:
        for layer in books.operators:
            if meet(layer, edition, books) and part in (layer, edition):
                found |= asked(layer) | asked(edition)
    return found


def misplaced(books: Books, code: Mapping[str, str]) -> list[str]:
    """A line for each value that neither acts nor is reference, and for reference that acts."""
    read = set().union(*(whole_texts(text) for text in code.values()))
    lines = []
    for part in (*books.editions, *books.operators):
        acts = acting(part, books, read)
        for key, value in part.values.items():
            if value.reference and key in acts:
                lines.append(f"{value.file}: {key} is for reference, yet something acts on it")
            if not value.reference and key not in acts:
                lines.append(f"{value.file}: nothing acts on {key}, which is not for reference")
    return lines


def shipped_parts(books: Books) -> Iterable[Part]:
    return (*books.editions, *books.operators)


def test_each_value_acts_or_is_reference(shipped: Books) -> None:
    assert misplaced(shipped, sources()) == []


def test_no_key_of_a_reference_is_put_together(shipped: Books) -> None:
    """Else a value would act and the search above would not see it."""
    keys = {k for part in shipped_parts(shipped) for k, v in part.values.items() if v.reference}
    patterns = [
        (path, pattern)
        for path, text in sources().items()
        if not path.startswith(BLOCKS)
        for pattern in composed(text)
    ]
    made = [
        f"{path}: {pattern.pattern} can be {key}"
        for path, pattern in patterns
        for key in keys
        if pattern.fullmatch(key)
    ]
    assert made == []


def test_no_path_of_a_fact_is_taken_for_a_key(shipped: Books) -> None:
    keys = {key for part in shipped_parts(shipped) for key in part.values}
    assert not keys.intersection(path for fact in DECIDING_FACTS for path in fact.paths)


# The search can fail: invented files and code.


def with_words(data: Path, more: str) -> Books:
    """The small edition with one more value, `a.more`, after whose key `more` stands."""
    file = data / "editions/small/edition.toml"
    file.write_text(
        file.read_text()
        + f"""
[[value]]
key = "a.more"
{more}
says = "One more limit."
unit = "mA"
applies_to = "tests"
value = "20 A"
source = {{ document = "practice" }}
certainty = "common practice"
checked = 2026-11-25
"""
    )
    load_books.cache_clear()
    return load_books(data)


def found_of_more(books: Books, code: str) -> list[str]:
    return [line for line in misplaced(books, {"code.py": code}) if "a.more" in line]


def test_a_value_that_nothing_acts_on_is_named(small_data: Path) -> None:
    books = with_words(small_data, "")
    [line] = found_of_more(books, '"""a.more"""\nx = f"a.{y}"\nz = "a.more is told"')
    assert line == (
        "editions/small/edition.toml: nothing acts on a.more, which is not for reference"
    )
    assert found_of_more(books, 'x = book.whole("a.more")') == []


def test_a_reference_that_code_reads_is_named(small_data: Path) -> None:
    books = with_words(small_data, "reference = true")
    [line] = found_of_more(books, 'KEYS = ("other", "a.more")')
    assert line == "editions/small/edition.toml: a.more is for reference, yet something acts on it"
    assert found_of_more(books, "x = 1") == []


@pytest.mark.parametrize(
    ("code", "can_be"),
    [
        ('f"a.{x}"', True),
        ('"a." + x', True),
        ('f"a.{x}re"', True),
        ('f"b.{x}"', False),
        ('f"{x}.more"', False),
        ('"a.more"', False),
    ],
)
def test_keys_that_are_put_together(code: str, can_be: bool) -> None:
    assert any(pattern.fullmatch("a.more") for pattern in composed(code)) is can_be


# What the loader does with the word.


def refused(data: Path, more: str, row: str) -> str:
    file = data / "editions/small/edition.toml"
    file.write_text(file.read_text().replace('above = "a.limit"', row))
    with pytest.raises(RulebookError) as fault:
        with_words(data, more)
    return str(fault.value)


def test_reference_that_a_row_names_is_refused(small_data: Path) -> None:
    assert refused(small_data, "reference = true", 'above = "a.more"') == (
        "editions/small/edition.toml: value a.more: it is for reference, yet row large names it; "
        "take `reference` away"
    )


def test_reference_is_yes_or_no(small_data: Path) -> None:
    assert refused(small_data, 'reference = "yes"', 'above = "a.limit"') == (
        'editions/small/edition.toml: value a.more: `reference` must be true or false, not "yes"'
    )


OPERATOR = """
[book]
format = "rulebook/1"
kind = "operator"
key = "an-operator"
title = "An operator (invented)"
from = 2025-01-01
areas = ["gb-14"]

[[value]]
key = "a.more"
{more}
says = "One more limit."
unit = "mA"
applies_to = "tests"
value = "25 A"
source = {{ document = "practice" }}
certainty = "secondary"
checked = 2026-11-25
"""


def test_an_operator_keeps_for_reference_what_the_edition_does(small_data: Path) -> None:
    file = small_data / "operators/one.toml"
    file.write_text(OPERATOR.format(more="reference = true"))
    book = resolve(with_words(small_data, "reference = true"), on=ON, area="gb-14")
    assert book.whole("a.more") == 25_000
    assert book.reference == {"a.more"}
    file.write_text(OPERATOR.format(more=""))
    load_books.cache_clear()
    with pytest.raises(RulebookError) as fault:
        load_books(small_data)
    assert str(fault.value) == (
        "operators/one.toml: value a.more: it is for reference in editions/small/edition.toml, but "
        "not in operators/one.toml; say the same in both"
    )


def test_an_operators_condition_may_not_name_it(small_data: Path) -> None:
    (small_data / "operators/one.toml").write_text(
        OPERATOR.format(more="reference = true").partition("[[value]]")[0]
        + """
[[condition]]
id = "large"
says = "Above the limit the operator wants a drawing."
when = [{ fact = "largest_phase_sum", above = "a.more" }]
severity = "decide"
asks = "Send the drawing."
source = { document = "practice" }
certainty = "secondary"
checked = 2026-11-25
"""
    )
    with pytest.raises(RulebookError) as fault:
        with_words(small_data, "reference = true")
    assert str(fault.value) == (
        "editions/small/edition.toml: value a.more: it is for reference, yet condition large names "
        "it; take `reference` away"
    )


LOCAL = """
[book]
format = "rulebook/1"
kind = "local"
key = "a-firm"
title = "A firm (invented)"
from = 2025-01-01

[[value]]
key = "a.more"
says = "One more limit."
unit = "mA"
applies_to = "tests"
value = "30 A"
source = { document = "practice" }
checked = 2026-11-25
"""
ASKING = """
[[condition]]
id = "large"
says = "Above the limit the operator wants a drawing."
when = [{ fact = "largest_phase_sum", above = "a.more" }]
severity = "decide"
asks = "Send the drawing."
source = { document = "practice" }
checked = 2026-11-25
"""


def test_a_local_entry_of_reference_stays_reference(small_data: Path, tmp_path: Path) -> None:
    books = with_words(small_data, "reference = true")
    local = tmp_path / "firm.toml"
    local.write_text(LOCAL)
    book = resolve(books, on=ON, local=[local])
    assert book.whole("a.more") == 30_000
    assert book.reference == {"a.more"}


def test_a_local_condition_acts_on_what_it_names(small_data: Path, tmp_path: Path) -> None:
    books = with_words(small_data, "reference = true")
    local = tmp_path / "firm.toml"
    local.write_text(LOCAL + ASKING)
    assert resolve(books, on=ON).reference == {"a.more"}
    assert resolve(books, on=ON, local=[local]).reference == frozenset()


def test_a_local_file_does_not_say_what_is_reference(small_data: Path, tmp_path: Path) -> None:
    books = with_words(small_data, "reference = true")
    local = tmp_path / "firm.toml"
    local.write_text(LOCAL.replace('key = "a.more"', 'key = "a.more"\nreference = true'))
    with pytest.raises(RulebookError, match="`reference` is not a key known here"):
        resolve(books, on=ON, local=[local])


def test_the_word_changes_no_digest(small_data: Path) -> None:
    """A value decides the same wherever it is listed, so kept decisions stay as they are."""
    text = (small_data / "editions/small/edition.toml").read_text()
    kept = []
    for more in ("reference = true", "reference = false", ""):
        (small_data / "editions/small/edition.toml").write_text(text)
        book = resolve(with_words(small_data, more), on=ON)
        kept.append((book.digest, book.layers, content_of(book)))
    assert kept[0] == kept[1] == kept[2]
