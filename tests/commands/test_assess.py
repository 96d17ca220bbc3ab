"""`manage.py assess`: decisions as JSON, in order, without a database."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "connections" / "demo"
NOWHERE = "postgres://nobody@127.0.0.1:1/nowhere"
"""Nothing listens at this port: a command that asked a database would fail."""

LOCAL = """
[book]
format = "rulebook/1"
kind = "local"
key = "firm"
title = "Local entries (invented)"
from = 2026-01-01
areas = ["gb-12"]

[[value]]
key = "sgi-2.sum_reading"
says = "How the upper bound of 32 A is read here."
unit = "text"
applies_to = "the second small-installation route"
source = { document = "memory" }
certainty = "local"
checked = 2026-11-24
values = [{ from = 2026-01-01, value = "inclusive" }]
"""


def assess(*args: str, given: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", "assess", *args],
        cwd=ROOT,
        input=given,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "DATABASE_URL": NOWHERE, "SECRET_KEY": "for tests alone" * 4},
    )


def line(name: str) -> str:
    return json.dumps(json.loads((DEMO / f"{name}.json").read_text()))


def test_one_file_gives_one_decision() -> None:
    done = assess(str(DEMO / "08-exactly-at-a-limit.json"))
    assert done.returncode == 0, done.stderr
    decision = json.loads(done.stdout)
    assert decision["format"] == "decision/1"
    # Two units of 3.68 kW: 7360 W / 230 V = 32 A exactly.
    assert decision["per_phase_ma"] == {"L1": 32000}
    assert decision["per_phase_exact"] == {"L1": [32000, 1]}
    assert decision["procedure"]["key"] == "sgi-3"
    assert decision["procedure"]["other_reading"] == "sgi-2"
    assert decision["trace"] == []
    assert decision["remedies"] == []


def test_lines_come_out_in_order_and_a_bad_one_does_not_stop_the_run() -> None:
    given = "\n".join(
        [line("05-pv-only"), "{}", "", line("10-capped-hybrid"), '{"format": "site/9"}']
    )
    done = assess("--lines", "-", given=given)
    assert done.returncode == 1
    answers = [json.loads(answer) for answer in done.stdout.splitlines()]
    assert [a.get("procedure", {}).get("key") for a in answers] == [
        "g98-single",
        None,
        "sgi-1",
        None,
    ]
    assert answers[1] == {"error": {"path": "format", "message": "this is needed; give it"}}
    assert answers[3]["error"]["path"] == "format"
    assert done.stderr == ""


def test_good_lines_alone_end_well() -> None:
    done = assess("--lines", "-", given=line("05-pv-only") + "\n")
    assert (done.returncode, len(done.stdout.splitlines())) == (0, 1)


def test_date_and_area_override_the_file() -> None:
    done = assess(str(DEMO / "05-pv-only.json"), "--on", "2027-02-03", "--area", "gb-23")
    decision = json.loads(done.stdout)
    assert (decision["on_date"], decision["area"]) == ("2027-02-03", "gb-23")


def test_a_local_entry_changes_the_reading_in_its_area(tmp_path: Path) -> None:
    local = tmp_path / "firm.toml"
    local.write_text(LOCAL)
    file = str(DEMO / "08-exactly-at-a-limit.json")
    inside = json.loads(assess(file, "--area", "gb-12", "--local", str(local)).stdout)
    outside = json.loads(assess(file, "--area", "gb-23", "--local", str(local)).stdout)
    assert (inside["procedure"]["key"], inside["procedure"]["boundary"]) == ("sgi-2", False)
    assert (outside["procedure"]["key"], outside["procedure"]["boundary"]) == ("sgi-3", True)
    assert "firm" in inside["rulebook"]["layers"]


def test_remedies_and_the_trace_come_when_asked_for() -> None:
    done = assess(str(DEMO / "02-micro-inverters-and-ac-storage.json"), "--remedies", "--explain")
    decision = json.loads(done.stdout)
    assert {remedy["kind"] for remedy in decision["remedies"]} == {
        "export-limit",
        "shared-inverter",
    }
    tested = decision["trace"]
    assert all({"fact", "value", "limit", "source", "certainty", "layer"} <= set(c) for c in tested)
    assert any(c["key"] == "g98.sum_limit" and c["value"] == 35000 for c in tested)


@pytest.mark.parametrize(
    ("args", "says"),
    [
        ((), "Give either a site file or --lines."),
        (("nowhere.json",), "nowhere.json can't be read: No such file or directory."),
        (("--lines", "nowhere.jsonl"), "nowhere.jsonl can't be read"),
        (("x.json", "--on", "24/11/2026"), "'24/11/2026' is not a date"),
        (("x.json", "--local", "nowhere.toml"), "nowhere.toml"),
    ],
)
def test_a_bad_call_gives_a_clear_line(args: tuple[str, ...], says: str) -> None:
    done = assess(*args)
    assert done.returncode != 0
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_a_bad_file_is_named_with_its_place(tmp_path: Path) -> None:
    site = json.loads((DEMO / "05-pv-only.json").read_text())
    site["units"][0]["rated_w"] = -1
    file = tmp_path / "site.json"
    file.write_text(json.dumps(site))
    done = assess(str(file))
    assert done.returncode != 0
    assert "site.json: units[0].rated_w: a negative number can't stand here" in done.stderr
    assert json.loads(done.stdout)["error"]["path"] == "units[0].rated_w"
