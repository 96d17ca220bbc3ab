"""`manage.py assess`: site files in, decisions out, and one clear line where a call is wrong.

In this process a database would be refused (pytest-django); the runs in a process of their own are
given one that nobody can reach.
"""

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from jsonschema import Draft202012Validator

from connections.facts.canonical import canonical
from connections.facts.schema import decision_schema
from connections.rules.decide import decide
from connections.rules.engineering import with_checks
from connections.rules.explaining.derivation import derivation, lines_of
from connections.rules.writing import write_decision
from tests.site_files import DEMO, book, cells, file, read, unit

ROOT = Path(__file__).parents[3]
NOWHERE = "postgres://nobody@127.0.0.1:1/nothing"
SCHEMA = Draft202012Validator(decision_schema())

FIVE_AND_FIVE = file(unit("a", 5000), cells("b", 5000), premises={"licence_area": "gb-12"})


@pytest.fixture
def given(tmp_path: Path):
    """A file with this content (plain data as JSON)."""

    def write(content: Any, name: str = "site.json") -> Path:
        path = tmp_path / name
        path.write_text(content if isinstance(content, str) else json.dumps(content), "utf-8")
        return path

    return write


@pytest.fixture
def assess(capsys):
    """The decision that the command prints."""

    def run(*arguments: object) -> dict[str, Any]:
        call_command("assess", *map(str, arguments))
        made: dict[str, Any] = json.loads(capsys.readouterr().out)
        return made

    return run


def manage(*arguments: object, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "manage.py", "assess", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": NOWHERE},
        input=stdin,
        capture_output=True,
        check=False,
        timeout=60,
    )


# One decision as JSON


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_demo_sites_give_a_decision_that_fits_the_schema(assess, path):
    made = assess(path)
    SCHEMA.validate(made)
    assert made["reference"] == json.loads(path.read_bytes())["reference"]


def test_it_is_the_decision_of_the_rules(assess, given):
    made = assess(given(FIVE_AND_FIVE))
    wanted = write_decision(with_checks(decide(read(FIVE_AND_FIVE), book("gb-12"))))
    assert made == json.loads(canonical(wanted))
    assert made["procedure"]["key"] == "g99-short"
    assert (made["trace"], made["remedies"]) == ([], [])


def test_lines_have_the_electrical_checks_only_when_asked_for(given, capfdbinary):
    path = given(json.dumps(FIVE_AND_FIVE) + "\n", "sites.jsonl")
    found = []
    for more in ((), ("--checks",)):
        call_command("assess", "--lines", str(path), *more)
        [line] = capfdbinary.readouterr().out.splitlines()
        found.append({finding["id"] for finding in json.loads(line)["findings"]})
    assert {"check-emissions", "checks-not-possible"} == found[1] - found[0]
    assert found[0] < found[1]


def test_remedies_and_the_trace_are_added_when_asked_for(assess, given):
    path = given(FIVE_AND_FIVE)
    made = assess(path, "--remedies", "--explain")
    assert {remedy["kind"] for remedy in made["remedies"]} >= {"export-limit", "shared-inverter"}
    assert len(made["trace"]) > 10
    told = made.pop("derivation")
    assert told["procedure"] == made["procedure"]["key"]
    assert len(told["rows"]) == len(made["procedure"]["not_because"]) + 1
    plain = assess(path)
    assert {**made, "remedies": [], "trace": []} == plain


def test_the_derivation_as_plain_lines(given, capsys):
    call_command("assess", str(given(FIVE_AND_FIVE)), "--words")
    lines = capsys.readouterr().out.splitlines()
    decided = with_checks(decide(read(FIVE_AND_FIVE), book("gb-12")))
    assert lines == list(lines_of(derivation(decided)))
    # 5000 W twice on one phase: 10000 / 230 = 43.478 A; 43.478 - 16 = 27.478, told as 27.479
    assert any("43.48 A is not at most 16 A, 27.48 A too much (g98.sum_limit: " in line
               for line in lines)  # fmt: skip


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--lines", "-", "--words"), "--words goes with one site file, not with --lines"),
        (("a.json", "--words", "--remedies"), "--words prints the derivation alone"),
    ],
)
def test_plain_lines_are_of_one_file_and_of_the_derivation(arguments, words):
    with pytest.raises(CommandError, match=words):
        call_command("assess", *arguments)


# What overrides the file


def test_the_date_can_be_overridden(assess, given):
    made = assess(given(FIVE_AND_FIVE), "--on", "2025-04-01")
    assert made["on_date"] == "2025-04-01"
    assert made["rulebook"]["edition"] == "EREC G98 Issue 2 and EREC G99 Issue 2"


# London's operator adds a layer to the edition, the North West's does not.
@pytest.mark.parametrize(
    ("area", "layers"), [("gb-12", ["gb-2025", "south-east-2025"]), ("gb-24", ["gb-2025"])]
)
def test_the_area_can_be_overridden(assess, given, area, layers):
    made = assess(given(FIVE_AND_FIVE), "--area", area)
    assert (made["area"], made["rulebook"]["layers"]) == (area, layers)


def test_the_area_comes_from_the_supply_number_where_it_is_not_given(assess, given):
    number = {"use": "import", "scheme": "gb13", "value": "16 0000 0000 010"}
    made = assess(given(file(premises={"supply_numbers": [number]})))
    assert made["area"] == "gb-16"
    assert assess(given(file()))["area"] == ""


# A firm's own entry: its operator answered that 10 A a phase is the most for connect and notify.
LOCAL = """
[book]
format = "rulebook/1"
kind = "local"
key = "the-firm"
title = "Entries for a test"
from = 2025-01-01

[[source]]
id = "letter"
title = "Letter of the operator (invented)"
kind = "letter"
edition = "3 November 2026"
has_clauses = false

[[value]]
key = "g98.sum_limit"
says = "The largest aggregate that the operator takes as micro-generation, per phase."
unit = "mA"
applies_to = "tests"
value = "10 A"
source = { document = "letter" }
checked = 2026-11-25
"""


def test_local_entries_lie_on_top(assess, given):
    path, local = given(file(unit("a", 3000))), given(LOCAL, "firm.toml")
    # 3000 W = 13.043 A: above 10 A, so no longer connect and notify under EREC G98.
    assert assess(path)["procedure"]["key"] == "g98-single"
    made = assess(path, "--local", local)
    assert made["procedure"]["key"] == "sgi-1"
    assert made["rulebook"]["layers"][-1] == "the-firm"
    [failed] = [
        c for row in made["procedure"]["not_because"] if row["row"] == "g98-single"
        for c in row["failed"]
    ]  # fmt: skip
    assert (failed["limit"], failed["certainty"], failed["layer"]) == (10_000, "local", "the-firm")


# The same for one area only: its operator takes 32 A itself as within the second route.
READING = (
    LOCAL.partition("[[value]]")[0].replace("2025-01-01", '2025-01-01\nareas = ["gb-12"]')
    + """
[[value]]
key = "sgi-2.sum_reading"
says = "How the bound of 32 A is read here."
unit = "text"
applies_to = "tests"
value = "inclusive"
source = { document = "letter" }
checked = 2026-11-25
"""
)


@pytest.mark.parametrize(
    ("area", "key", "boundary"), [("gb-12", "sgi-2", False), ("gb-16", "sgi-3", True)]
)
def test_a_local_reading_settles_the_limit_in_its_area(assess, given, area, key, boundary):
    path = ROOT / "sites/desk/demonstration/08-exactly-at-a-limit.json"
    made = assess(path, "--area", area, "--local", given(READING, "firm.toml"))
    assert (made["procedure"]["key"], made["procedure"]["boundary"]) == (key, boundary)
    # Two units of 3.68 kW: 7360 W / 230 V = 32 A exactly.
    assert made["per_phase_exact"] == {"L1": [32_000, 1]}


# Many sites, one a line


def test_empty_lines_are_passed_over(given, capsysbinary):
    path = given(lines(file(reference="one"), b"", file(reference="two")).decode(), "sites.jsonl")
    call_command("assess", "--lines", str(path))
    assert len(capsysbinary.readouterr().out.splitlines()) == 2


def lines(*contents: Any) -> bytes:
    return b"".join(
        (c if isinstance(c, bytes) else json.dumps(c).encode()) + b"\n" for c in contents
    )


def test_lines_come_back_in_order_and_a_bad_one_stops_nothing():
    contents = [
        file(unit("a", 3680), reference="first"),
        b"{",
        file(unit("a", 5000), reference="third"),
        file(unit("a", 3680, kw=4), reference="fourth"),
        file(unit("a", 3680), on_date="2018-01-01"),
        file(unit("a", 9000), reference="last"),
    ]
    done = manage("--lines", "-", stdin=lines(*contents))
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 1
    assert done.stderr == b""
    assert [answer.get("reference") for answer in answers] == [
        "first", None, "third", None, None, "last",
    ]  # fmt: skip
    errors = [answer["error"] for answer in answers if "error" in answer]
    assert [error["path"] for error in errors] == ["", "units[0].kw", "on_date"]
    assert all(set(error) == {"path", "message"} for error in errors)
    assert errors[2]["message"].startswith("no edition is known for 2018-01-01; ")


def test_lines_that_can_all_be_read_are_a_success():
    done = manage("--lines", "-", "--area", "gb-16", stdin=lines(file(), file(unit("b", 5000))))
    assert (done.returncode, done.stderr) == (0, b"")
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert [answer["procedure"]["key"] for answer in answers] == ["g98-single", "sgi-3"]
    assert {answer["area"] for answer in answers} == {"gb-16"}
    # One a line, canonical.
    assert [canonical(answer) for answer in answers] == done.stdout.splitlines()


def test_lines_can_come_from_a_file(given, capsysbinary):
    path = given(lines(file(reference="one"), file(reference="two")).decode(), "sites.jsonl")
    call_command("assess", "--lines", str(path))
    answers = [json.loads(line) for line in capsysbinary.readouterr().out.splitlines()]
    assert [answer["reference"] for answer in answers] == ["one", "two"]


@pytest.mark.parametrize("raw", [b"\xff", b"[]", b"null", b'"site"', b"{} {}", b"3680"])
def test_a_line_that_is_no_site_says_so(monkeypatch, capsysbinary, raw):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw + b"\n")))
    with pytest.raises(SystemExit) as caught:
        call_command("assess", "--lines", "-")
    assert caught.value.code == 1
    [answer] = capsysbinary.readouterr().out.splitlines()
    assert list(json.loads(answer)) == ["error"]


# Faults of the call


def test_a_site_that_cannot_be_read_prints_where_and_fails(given):
    done = manage(given(file(unit("a", -1))))
    assert done.returncode == 1
    assert json.loads(done.stdout) == {
        "error": {"path": "units[0].rated_w", "message": "a negative number can't stand here"}
    }
    assert done.stderr.decode().splitlines() == [
        "CommandError: site.json: units[0].rated_w: a negative number can't stand here"
    ]


AREAS = ", ".join([*(f"gb-{n}" for n in range(10, 24)), "ni-1", "ie-1"])

# The call, and its one line.
WRONG = [
    ([], "Give either a site file or --lines."),
    (["SITE", "--lines", "-"], "Give either a site file or --lines."),
    (["nowhere.json"], "nowhere.json can't be read: No such file or directory."),
    ([str(ROOT)], f"{ROOT} can't be read: Is a directory."),
    (["--lines", "nowhere.jsonl"], "nowhere.jsonl can't be read: No such file or directory."),
    (["SITE", "--area", "gb-99"], f'area: "gb-99" is not a licence area; use one of {AREAS}'),
    (["--lines", "-", "--area", "London"],
     f'area: "London" is not a licence area; use one of {AREAS}'),
    (["SITE", "--local", "nowhere.toml"],
     "nowhere.toml: can't be read: No such file or directory"),
    (["SITE", "--on", "2018-01-01"],
     "site.json: on_date: no edition is known for 2018-01-01; the first one, EREC G98 Issue 1 and "
     "EREC G99 Issue 1, holds from 2019-04-27"),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "line"), WRONG)
def test_a_wrong_call_is_one_clear_line(given, arguments, line):
    path = str(given(FIVE_AND_FIVE))
    with pytest.raises(CommandError) as caught:
        call_command("assess", *[path if word == "SITE" else word for word in arguments])
    assert str(caught.value) == line


def test_a_local_file_that_does_not_load_names_file_and_fault(given):
    local = given(LOCAL.replace('value = "10 A"', "value = 10.5"), "firm.toml")
    with pytest.raises(CommandError, match=r"^firm\.toml: value g98\.sum_limit: the bare fraction"):
        call_command("assess", str(given(FIVE_AND_FIVE)), "--local", str(local))


def test_an_unknown_area_or_nation_in_the_file_names_its_place(given):
    for premises, message in (
        ({"licence_area": "gb-99"}, f'premises.licence_area: "gb-99" is not a licence area; use '
                                    f"one of {AREAS}"),
        ({"nation": "ireland", "licence_area": "gb-12"},
         'premises.licence_area: the licence area "gb-12" does not lie in Ireland; correct one of '
         "the two"),
    ):  # fmt: skip
        with pytest.raises(CommandError) as caught:
            call_command("assess", str(given(file(premises=premises))))
        assert str(caught.value) == f"site.json: {message}"


# Run for themselves: what a person at a terminal sees.
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "CommandError: Give either a site file or --lines."),
        (["nowhere.json"], "CommandError: nowhere.json can't be read: No such file or directory."),
        (["nowhere.json", "--on", "2026-13-01"],
         "manage.py assess: error: argument --on: '2026-13-01' is not a date; give "
         "year-month-day, such as 2026-11-24"),
        (["nowhere.json", "--frobnicate"],
         "manage.py assess: error: unrecognized arguments: --frobnicate"),
    ],
)  # fmt: skip
def test_no_traceback_reaches_the_terminal(arguments, says):
    done = manage(*arguments)
    assert done.returncode != 0
    assert done.stdout == b""
    *usage, last = done.stderr.decode().splitlines()
    assert last == says
    assert "Traceback" not in done.stderr.decode()
    assert not usage or usage[0].startswith("usage: manage.py assess")


def test_no_database_is_asked(given):
    done = manage(given(FIVE_AND_FIVE), "--remedies", "--explain")
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout)["procedure"]["key"] == "g99-short"
