"""README and the help say what the code and the data say."""

import importlib.util
import json
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.core.management import get_commands, load_command_class

from connections.assessing import Assessor, assess_file
from connections.facts.describing import site_file_words
from connections.facts.reading import read_site
from connections.rulebook.load import load_books, load_local, resolve
from sites import settings
from sites.bootstrap.paths import ROOT
from sites.desk.writing.demonstration import PASSWORD, PEOPLE
from sites.house.reading.help import NAMES
from sites.management.benchmarks.core import table
from sites.management.commands.demo import describe
from sites.packs.forms import AttachmentForm
from tests.docs.conftest import of_help
from tests.docs.markdown import code_blocks, links, names, paragraphs, section, tables
from tests.site_files import ON

CERTAINTIES = ("published", "secondary", "common practice", "from memory")


def test_it_opens_with_the_job(readme: str):
    title, job = paragraphs(readme)[:2]
    assert title == "# Meterside"
    for word in (
        "solar PV",
        "storage",
        "small firm",
        "phase by phase",
        "procedure",
        "neutral pack",
    ):
        assert word in job


def test_the_two_commands_stand_first(readme: str):
    rows = tables(section(readme, "The two commands"))[0]
    assert [names(row[0]) for row in rows[1:]] == [
        ["python3 manage.py demo"],
        ["python3 manage.py test"],
    ]


@pytest.mark.parametrize("said", ["Debian 12 or 13", "3.11 or later"])
def test_what_it_runs_on(readme: str, said: str):
    assert said in section(readme, "The two commands")


def test_outcomes_in_their_order(coverage: str):
    rows = tables(coverage)[0]
    outcomes = resolve(load_books(), on=ON).outcomes
    assert [(names(key), title, form) for key, title, form in rows[1:]] == [
        ([outcome.key], outcome.title, outcome.serves) for outcome in outcomes
    ]


def test_the_edition_and_its_areas(coverage: str):
    text = " ".join(coverage.removeprefix("# What is covered").split())
    books = load_books()
    [edition] = [part for part in books.editions if part.holds_on(ON) and part.key == "gb-2025"]
    assert f"{edition.edition}, for dates from {edition.since:%-d %B %Y}" in text
    assert edition.nations == ("england", "wales", "scotland")
    assert text.startswith("England, Wales and Scotland")
    british = [area for area in books.areas if not area.nation]
    independent = sum(area.independent for area in british)
    assert f"{len(british) - independent} licence areas" in text
    assert f"prefixes of {independent} independent operators" in text


def test_every_edition_with_its_nations_and_dates(coverage: str):
    [rows] = [table for table in tables(coverage) if "for dates" in table[0]]
    told = {names(key)[0]: (nations, dates) for key, nations, dates, _ in rows[1:]}
    editions = {}
    for part in load_books().editions:
        nations = ", ".join(nation.replace("_", " ").title() for nation in part.nations)
        dates = f"{part.since:%-d %B %Y} to {part.until:%-d %B %Y}" if part.until else ""
        editions[part.key] = (nations, dates or f"from {part.since:%-d %B %Y}")
    assert told == editions


def test_certainties_are_counted(sources: str):
    rows = tables(sources)[0]
    book = resolve(load_books(), on=ON)
    counted: dict[str, list[Any]] = {
        "values that something acts on": [
            value for key, value in book.values.items() if key not in book.reference
        ],
        "values for reference": [book.values[key] for key in book.reference],
        "rows of the decision table": list(book.table),
        "steps": list(book.steps),
        "tables of protection settings": list(book.settings),
        "licence areas and prefixes": list(book.areas),
    }
    assert rows[0] == ["of", "in all", *CERTAINTIES]
    assert [row[0] for row in rows[1:]] == list(counted)
    for name, *figures in rows[1:]:
        of = Counter(entry.certainty for entry in counted[name])
        assert [int(n) for n in figures] == [len(counted[name]), *(of[c] for c in CERTAINTIES)]


def test_operators_layers_are_counted(coverage: str):
    layers = load_books().operators
    values = sum(len(layer.values) for layer in layers)
    assert f"{len(layers)} layers ship, with {values} values" in " ".join(coverage.split())


def console(page: str, command: str) -> tuple[str, list[str]]:
    """The command line and the lines shown under it, of the block that begins with a command."""
    for block in code_blocks(page, "console"):
        first, *shown = block.splitlines()
        if f"manage.py {command}" in first:
            return first.removeprefix("$ "), shown
    raise AssertionError(f"the page shows no {command}")


def sign_in_words(host: str, port: int) -> str:
    """What `demo` says of the way in."""
    people = [f"  {email:<30} password {PASSWORD}   ({role})" for email, _name, role in PEOPLE]
    return "\n".join([f"Open http://{host}:{port}/ and sign in as", *people, "Ctrl-C ends it."])


def run(line: str) -> str:
    """What a line of the shell prints on standard output, with this Python for python3."""
    done = subprocess.run(
        ["bash", "-c", f'python3() {{ "{sys.executable}" "$@"; }}\n{line}'],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout


def test_the_demo_says_what_is_shown(commands: str):
    _, shown = console(commands, "demo")
    asked = shown.index("...", shown.index("...") + 1)
    shown, way_on = shown[: asked + 1], shown[asked + 1 :]
    assert way_on == ["", *sign_in_words("127.0.0.1", 8000).splitlines()]
    told = [
        describe(assess_file(file)).splitlines()
        for file in sorted((ROOT / "sites/desk/demonstration").glob("*.json"))
    ]
    sites = [site.splitlines() for site in "\n".join(shown).split("\n\n")]
    assert [site for site in sites if site in told] == sites[1:-1]
    assert len(sites) > 3
    assert sites[0][0] == "..."
    assert sites[-1] == ["..."]


def test_assess_prints_what_is_shown(commands: str):
    line, shown = console(commands, "assess sites")
    printed = run(line).splitlines()
    position = 0
    for wanted in shown:
        if wanted.strip() == "...":
            continue
        assert wanted in printed[position:], wanted
        position = printed.index(wanted, position) + 1


def test_a_fault_prints_what_is_shown(commands: str):
    line, shown = console(commands, "assess --lines")
    assert run(line).splitlines() == shown


def test_the_rulebook_shows_what_is_shown(commands: str):
    line, shown = console(commands, "rulebook show")
    assert run(line).splitlines() == shown
    [rows] = [table for table in tables(commands) if table[0][0] == "act"]
    acts = {names(row[0])[0].removeprefix("rulebook ") for row in rows[1:]}
    parser = load_command_class("sites", "rulebook").create_parser("", "")
    [listed] = [a.choices for a in parser._actions if isinstance(a.choices, dict)]
    assert acts == set(listed)


def test_bench_measures_what_is_shown(commands: str):
    head, *rows = console(commands, "bench")[1]
    assert re.split(r"\s{2,}", head) == re.split(r"\s{2,}", table([]))
    named = [re.split(r"\s{2,}|\s+\(", row)[0] for row in rows]
    assert named == [
        "deciding a site of 4 units, median",
        "remedies of a site of 4 units",
        "all electrical checks of a site of 4 units",
        "assess --lines, sites a second on one core",
        "importing the pure rooms",
        "reading the shipped rulebook",
        "walking a procedure table for gaps",
        "printing a pack, times a plain print",
        "a voltage rise, times pandapower",
        "an unbalanced supply, times pandapower",
        "a year in half hours, separate inverters, median",
        "a year in half hours, a hybrid inverter, median",
        "a year in half hours, a cheap window, median",
        "20 export limits, separate inverters, median",
        "20 export limits, a hybrid inverter, median",
        "layers put together, out of the cache",
        "10,000 sites under other rules",
        "10,000 sites under rules that are much the same",
        "10,000 sites looked through for changes",
        "panel with 20 units, server time",
        "of which deciding, with its sentences",
        "a change of the quick look, five ways, server time",
        "pages of the demo, 95th percentile",
        "issued pack asked for again",
    ]
    missed = [row for row in rows if row.endswith("NOT MET")]
    assert all(row.endswith(" met") for row in rows if row not in missed)
    # An aim that was missed is shown, and said in words below the table.
    words = {0: "", 1: "One aim was not met", 2: "Two aims were", 3: "Three aims", 4: "Four aims",
             5: "Five aims"}  # fmt: skip
    assert words[len(missed)] in commands.split("## bench")[1].split("## soak")[0]


def test_the_environment_is_that_of_the_settings(running: str):
    """The same variables with the same words as the table at the head of the settings."""
    said = [
        [cell.strip().replace("`", "") for cell in line.strip("|").split("|")]
        for line in (settings.__doc__ or "").splitlines()
        if line.startswith("| ") and not line.startswith("| variable")
    ]
    assert len(said) > 5
    [rows] = tables(section(running, "Variables"))
    assert [[cell.replace("`", "") for cell in row] for row in rows[1:]] == said


def test_the_units_named_are_there(running: str):
    """Files of `.install`, and modules that are run, in the lines to type."""
    lines = "\n".join(code_blocks(running, "sh"))
    units = {path.name.rpartition(".")[0] for path in (ROOT / ".install").glob("meterside-*")}
    assert set(re.findall(r"\bmeterside-[a-z]+", lines)) == units
    for name in re.findall(r"\.install/(\w+(?:\.\w+)?) ", lines):
        assert (ROOT / ".install" / name).is_file(), name
    for module in re.findall(r"-m ([\w.]+)", lines):
        assert module.isdigit() or importlib.util.find_spec(module), module


def test_options_named_are_there(everything: str):
    """Options in the lines to type of our own commands."""
    lines = "\n".join(
        block for kind in ("sh", "console") for block in code_blocks(everything, kind)
    ).splitlines()
    seen = 0
    for line in lines:
        for command, rest in re.findall(r"manage\.py ([a-z_]+)([^;&|>]*)", line):
            for option in re.findall(r"(?<=\s)--[a-z-]+", re.sub(r'".*?"', "", rest)):
                parser = load_command_class(get_commands()[command], command).create_parser("", "")
                acts = [a.choices for a in parser._actions if isinstance(a.choices, dict)]
                ways = [parser, *(way for choices in acts for way in choices.values())]
                assert any(option in way.format_help() for way in ways), (command, option)
                seen += 1
    assert seen > 5


def test_roles_and_what_may_be_attached(browser: str):
    text = " ".join(browser.split())
    assert "**The office**" in text
    assert "**The engineer**" in text
    assert "attaches files (PDF, PNG, JPEG)" in text
    assert AttachmentForm.base_fields["file"].help_text.startswith("PDF, PNG or JPEG")


def test_the_least_site_file_is_decided(site_file: str):
    [least] = code_blocks(site_file, "json")
    assessor = Assessor()
    decision = assessor.decide(assessor.site(least)).decision
    assert decision.procedure.key == "g98-single"
    content = json.loads(least)
    for key in content:
        with pytest.raises(ValueError, match=key):
            read_site(json.dumps({k: v for k, v in content.items() if k != key}))


def test_the_many_sites_at_once(commands: str, tmp_path):
    [script] = [block for block in code_blocks(commands, "sh") if "--lines" in block]
    files = sorted((ROOT / "sites/desk/demonstration").glob("*.json"))
    script = script.replace("sites.jsonl", f"{tmp_path}/in").replace(
        "decisions.jsonl", f"{tmp_path}/out"
    )
    run(script)
    answers = [json.loads(line) for line in (tmp_path / "out").read_text().splitlines()]
    assert [answer["reference"] for answer in answers] == [
        json.loads(file.read_text())["reference"] for file in files
    ]


def test_every_fact_stands_in_the_help(site_file: str):
    """The tables are those that the declarations make; `schema --words` prints them."""
    assert site_file.partition("## Every fact\n")[2].strip().endswith(site_file_words().strip())


def test_the_local_entries_of_the_help_fit(tmp_path: Path):
    """The example is a file that the rulebook takes, and its period is then in force."""
    [example] = code_blocks(of_help("local-entries"), "toml")
    file = tmp_path / "entries.toml"
    file.write_text(example)
    books = load_books()
    book = resolve(books, on=ON, area="gb-12", local=[load_local(file, books)])
    assert book.whole("time.sgi_answer") == 8


def test_readme_is_short_and_leads_to_every_page(readme: str):
    assert len(readme.splitlines()) <= 150
    led = {Path(link.target).stem for link in links(readme) if link.target.startswith("sites/")}
    assert led == set(NAMES)


def test_every_line_to_type_is_one(everything: str):
    """The shell can read each; its commands, options and modules are looked at by other tests."""
    lines = "\n".join(code_blocks(everything, "sh")).splitlines()
    assert len(lines) > 20
    read = subprocess.run(["bash", "-n"], input="\n".join(lines), text=True, check=False)
    assert read.returncode == 0
