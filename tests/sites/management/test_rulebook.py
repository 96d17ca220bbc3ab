"""`manage.py rulebook`: what it prints, what it refuses, and that three acts need no database."""

import datetime as dt
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from connections.rulebook.load import load_books, resolve
from sites.rulebook.models import LocalEntry
from tests.connections.rulebook.broken_files import broken_files
from tests.sites.making import make_person

ROOT = Path(__file__).parents[3]
NOWHERE = "postgres://nobody@127.0.0.1:1/nothing"
LOCAL = """
[book]
format = "rulebook/1"
kind = "local"
key = "the-firm"
title = "Entries of an invented firm"
from = 2026-01-01
areas = ["gb-11"]

[[source]]
id = "letter"
title = "Letter of the operator (invented)"
kind = "letter"
has_clauses = false

[[value]]
key = "time.sgi_answer"
says = "The operator answers within this time."
unit = "working-days"
applies_to = "tests"
values = [
  { from = 2026-01-01, until = 2026-12-31, value = "8 working days" },
  { from = 2027-01-01, value = "5 working days" },
]
source = { document = "letter" }
checked = 2026-07-06
"""


@pytest.fixture
def rulebook(capsys: pytest.CaptureFixture[str]):
    """The lines that the command prints."""

    def run(*arguments: object) -> list[str]:
        call_command("rulebook", *map(str, arguments))
        return capsys.readouterr().out.splitlines()

    return run


@pytest.fixture
def local(tmp_path: Path) -> Path:
    path = tmp_path / "firm.toml"
    path.write_text(LOCAL)
    return path


def manage(*arguments: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", "rulebook", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": NOWHERE},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


# check


def test_the_shipped_files_are_checked(rulebook) -> None:
    lines = rulebook("check")
    books = load_books()
    for part in (*books.editions, *books.operators):
        assert any(line.startswith(f"{part.key}: ") for line in lines)
    tables = [line for line in lines if line.startswith("  table of ")]
    assert len(tables) >= len(books.editions)
    assert all(
        line.endswith("every site has a row, and every row can be reached") for line in tables
    )
    spells = [
        spell
        for part in (*books.editions, *books.operators)
        for value in part.values.values()
        if not value.reference
        for spell in value.spells
    ]
    unsure = [sum(s.certainty == word for s in spells) for word in ("secondary", "from memory")]
    reference = [
        len(value.spells)
        for part in (*books.editions, *books.operators)
        for value in part.values.values()
        if value.reference
    ]
    assert lines[-1].endswith(
        f"load: {len(spells)} amounts that something acts on, of which {unsure[0]} secondary, "
        f"{unsure[1]} from memory, and {sum(reference)} for reference; no gap in any table."
    )
    for part in books.editions:
        kept = sum(value.reference for value in part.values.values())
        first = next(n for n, line in enumerate(lines) if line.startswith(f"{part.key}: "))
        assert lines[first + 2] == f"  for reference, so that nothing acts on them: {kept} values"


@pytest.mark.parametrize(
    ("key", "reference"),
    [
        # A step asks for the time of notices; nothing asks how long an offer holds.
        ("time.notify", False),
        ("offer.shortest_validity", True),
    ],
)
def test_a_value_for_reference_says_so(rulebook, key: str, reference: bool) -> None:
    lines = rulebook("show", key, "--on", "2026-11-24")
    assert ("  acts          no; it is kept for reference" in lines) is reference


def test_a_local_file_is_checked_against_them(rulebook, local: Path) -> None:
    lines = rulebook("check", local)
    assert lines[0] == "the-firm: Entries of an invented firm, gb-11, from 1 January 2026"
    assert "  holds: 1 value" in lines
    assert (
        "  time.sgi_answer: 8 working days, 5 working days from 2027-01-01 in place of "
        "10 working days in gb-2025" in lines
    )
    assert lines[-1] == "firm.toml fits: no fault and no gap."


def test_a_row_that_is_never_reached_is_reported_and_not_refused(rulebook, tmp_path: Path) -> None:
    text = (ROOT / "tests/connections/rulebook/fixtures/edition.toml").read_text()
    text = text.replace('nations = ["england"]', 'nations = ["ireland"]')
    text = text.replace('key = "small"\ntitle', 'key = "of-ireland"\ntitle', 1)
    text = text.replace("from = 2025-01-01", "from = 1990-01-01\nuntil = 1990-12-31", 1)
    more = text.index("[[step]]")
    never = text[text.index('[[row]]\nid = "large"') : more].replace('id = "large"', 'id = "never"')
    path = tmp_path / "edition.toml"
    path.write_text(text[:more] + never + text[more:])
    lines = rulebook("check", path)
    assert "    from 1990-01-01 row never can never be reached" in lines
    assert lines[-1] == "edition.toml fits: no fault and no gap."


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        ("bare-fraction", "value a.limit: the bare fraction 16.0; write it with its unit"),
        ("gap-exact-limit", "row large: no row holds for a site with largest_rated exactly 16000"),
        ("unknown-fact", "is not a fact that conditions may ask about"),
        ("duplicate-value", '"a.limit" stands twice'),
        ("local-source-missing", "`source` is missing; give it"),
    ],
)
def test_a_fault_is_one_line_with_file_and_key(
    rulebook, tmp_path: Path, broken: str, words: str
) -> None:
    path = tmp_path / f"{broken}.toml"
    path.write_text(broken_files()[broken].text)
    with pytest.raises(CommandError) as refused:
        rulebook("check", path)
    assert words in str(refused.value)
    assert str(refused.value).startswith(f"{broken}.toml: ")
    assert "\n" not in str(refused.value)


def test_a_file_that_is_not_there(rulebook, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"nothing\.toml can't be read: No such file"):
        rulebook("check", tmp_path / "nothing.toml")


# show


def test_a_value_is_shown_with_all_that_a_reader_needs(rulebook) -> None:
    lines = rulebook("show", "g98.unit_limit", "--on", "2026-11-24")
    assert lines[0].startswith("EREC G98 Issue 2 and EREC G99 Issue 2; as on 24 November 2026; ")
    assert lines[2:12] == [
        "g98.unit_limit: 16 A",
        "  The largest registered and design capacity of one micro-generator, per phase.",
        "  unit          mA",
        "  applies to    micro-generation under EREC G98",
        "  since         10 March 2025",
        "  source        EREC G99, Issue 2 (2025), 6.2.2.1, table and footnote 4",
        "  certainty     published",
        "  checked       25 November 2026",
        "  from          Great Britain, connection rules of 2025",
        "  note          EREC G98 itself knows no design capacity; taking it as the limit is the "
        "cautious reading.",
    ]


def test_a_group_and_everything(rulebook) -> None:
    book = resolve(load_books(), on=dt.date(2026, 11, 24))
    shown = [line.split(":")[0] for line in rulebook("show", "sgi-2", "--on", "2026-11-24")]
    assert [key for key in shown if key in book.values] == [
        key for key in book.values if key.startswith("sgi-2.")
    ]
    everything = [line.split(":")[0] for line in rulebook("show", "--on", "2026-11-24")]
    assert [key for key in everything if key in book.values] == list(book.values)


def test_the_layer_beneath_is_shown(rulebook, local: Path) -> None:
    lines = rulebook(
        "show", "time.sgi_answer", "--area", "gb-11", "--on", "2026-11-24", "--local", local
    )
    assert "time.sgi_answer: 8 working days" in lines
    assert "  certainty     local" in lines
    assert (
        "  in place of   10 working days from Great Britain, connection rules of 2025 (EREC G99, "
        "Issue 2 (2025), 6.2.2.3 and 6.2.2.4; published)" in lines
    )


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("show", "g98.unit_limmit"), 'no value "g98.unit_limmit"'),
        (("show", "g98.unit_limmit"), "near it are g98.unit_limit"),
        (("show", "--area", "gb-99"), 'there is no licence area "gb-99"'),
        (("show", "--on", "1901-01-01"), "no edition is known for 1901-01-01"),
        (("show", "--on", "24/11/2026"), "is not a date; give year-month-day"),
        (("diff", "gb-1199", "gb-2025"), '"gb-1199" is neither a date such as 2026-11-24'),
        (("diff", "1901-01-01", "2026-01-01"), "no edition is known for 1901-01-01"),
        (("dump", "--area", "gb-99"), 'no licence area "gb-99"'),
        (("load", "nothing.toml", "--by", "a@b.example"), "nothing.toml can't be read"),
        ((), "the following arguments are required: ACT"),
        (("colour",), "invalid choice: 'colour'"),
    ],
)
def test_what_is_wrong_with_a_call_is_said_in_one_line(rulebook, arguments, words: str) -> None:
    with pytest.raises(CommandError) as refused:
        rulebook(*arguments)
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)


# diff


def test_nothing_is_different(rulebook) -> None:
    assert rulebook("diff", "2026-11-20", "2026-11-24") == [
        "Nothing is different between 20 November 2026 and 24 November 2026."
    ]
    lines = rulebook("diff", "gb-2025", "gb-2025")
    assert len(lines) == 2
    assert lines[1].startswith("Nothing is different between gb-2025 as on ")


def test_dates_are_told_day_by_day(rulebook, local: Path) -> None:
    lines = rulebook("diff", "2025-12-01", "2027-06-01", "--area", "gb-11", "--local", local)
    ours = [line for line in lines if "answers" in line or "2027" in line]
    assert lines[lines.index("1 January 2027") + 1] == (
        "- From 1 January 2027 the operator answers within 5 working days instead of 8 (Letter of "
        "the operator (invented); local)."
    )
    assert "1 January 2026" in lines
    assert ours[0].startswith(
        "- From 1 January 2026 the operator answers within 8 working days instead of 10 (Letter "
        "of the operator (invented); local; before: EREC G99, Issue 2 (2025), "
    )


def test_backwards_or_an_edition_is_one_comparison(rulebook, local: Path) -> None:
    given = ("--area", "gb-11", "--local", local)
    lines = rulebook("diff", "2027-06-01", "2026-06-01", *given)
    assert lines[0] == (
        "Before: gb-2025 with midlands-2025, the-firm as on 2027-06-01; now: gb-2025 with "
        "midlands-2025, the-firm as on 2026-06-01."
    )
    told = "- The operator answers within 8 working days instead of 5 ("
    assert [line for line in lines[1:] if line.startswith(told)]
    lines = rulebook("diff", "2025-12-01", "gb-2025", *given)
    assert lines[0].startswith(
        "Before: gb-2025 with midlands-2025 as on 2025-12-01; now: gb-2025 with midlands-2025, "
        "the-firm as on "
    )


# Caps on export and extra conditions


BESIDE = """
[[export_cap]]
id = "north"
says = "The feeder takes no more."
feeders = ["North 7"]
per = "total"
unit = "W"
limit = "5 kW"
source = { document = "letter" }
checked = 2026-07-06

[[condition]]
id = "photo"
says = "This operator wants a picture of the cut-out."
when = [{ fact = "largest_rated", above = "g98.unit_limit" }]
severity = "decide"
asks = "Send a picture of the cut-out."
source = { document = "letter" }
checked = 2026-07-06
"""


def test_caps_and_conditions_are_checked_and_shown(rulebook, tmp_path: Path) -> None:
    path = tmp_path / "beside.toml"
    path.write_text(LOCAL + BESIDE)
    lines = rulebook("check", path)
    assert "  holds: 1 value, 1 export cap, 1 extra condition" in lines
    assert "  export cap north: 5 kW in all at the feeder North 7, from 1 January 2026" in lines
    assert "  condition photo: Send a picture of the cut-out, from 1 January 2026" in lines
    given = ("--area", "gb-11", "--on", "2026-11-24", "--local", path)
    lines = rulebook("show", "north", "photo", *given)
    assert "export cap north: 5 kW in all at the feeder North 7" in lines
    assert "condition photo: Send a picture of the cut-out." in lines
    assert (
        '  sites with    "the largest registered capacity of one unit, per phase" above '
        "g98.unit_limit (16 A)" in lines
    )
    assert lines.count("  source        Letter of the operator (invented)") == 2
    everything = rulebook("show", *given)
    assert "export cap north: 5 kW in all at the feeder North 7" in everything


# Local entries of the database


@pytest.fixture
def engineer(db: None):
    return make_person("engineer")


def test_entries_go_in_and_out(rulebook, local: Path, engineer) -> None:
    lines = rulebook("load", local, "--by", engineer.email, "--reason", "The operator wrote.")
    assert lines == ["firm.toml: 2 entries entered."]
    assert {row.reason for row in LocalEntry.objects.all()} == {"The operator wrote."}
    dumped = rulebook("dump", "--area", "gb-11")
    assert 'key = "time.sgi_answer"' in dumped
    local.write_text("\n".join(dumped))
    assert rulebook("load", local, "--by", engineer.email.upper()) == [
        "firm.toml: 0 entries entered, 2 were there already."
    ]


def test_entries_of_areas_are_named_where_those_of_the_firm_are_asked_for(
    local: Path, engineer, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("rulebook", "load", str(local), "--by", engineer.email)
    capsys.readouterr()
    call_command("rulebook", "dump")
    printed = capsys.readouterr()
    assert "[[value]]" not in printed.out
    assert "There are entries of gb-11 too; give --area." in printed.err


@pytest.mark.django_db
def test_who_may_not_load(rulebook, local: Path) -> None:
    with pytest.raises(CommandError, match=r"There is nobody with the address no@firm\.example"):
        rulebook("load", local, "--by", "no@firm.example")
    office = make_person("office")
    with pytest.raises(CommandError, match="Only an engineer may enter or end local entries"):
        rulebook("load", local, "--by", office.email)
    assert not LocalEntry.objects.exists()


def test_a_file_that_does_not_fit_is_not_loaded(rulebook, local: Path, engineer) -> None:
    local.write_text(LOCAL.replace('unit = "working-days"', 'unit = "days"'))
    with pytest.raises(CommandError) as refused:
        rulebook("load", local, "--by", engineer.email)
    assert "\n" not in str(refused.value)
    assert str(refused.value).startswith("firm.toml: value time.sgi_answer: ")
    assert not LocalEntry.objects.exists()


# Without a database


@pytest.mark.parametrize(
    "arguments",
    [
        ("check",),
        ("check", ROOT / "connections/rulebook/data/operators/south-east.toml"),
        ("show", "voltage.nominal"),
        ("diff", "2026-01-01", "2026-11-24"),
    ],
)
def test_no_database_is_needed(arguments) -> None:
    done = manage(*arguments)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout
