"""The wheel, installed outside the tree: the command and the examples of the help work from it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pypdfium2
import pytest

from tests.docs.markdown import code_blocks

ROOT = Path(__file__).resolve().parents[3]
SITE = ROOT / "sites/desk/demonstration/03-string-inverter-and-ac-storage.json"
EXAMPLES = code_blocks((ROOT / "sites/house/help/library.md").read_text("utf-8"), "python")


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel in it, built and installed without a network."""
    made = tmp_path_factory.mktemp("wheel")
    build = ["build", "--wheel", "--no-isolation", "--outdir", made, ROOT]
    install = ["pip", "install", "-q", "--no-deps", "--no-index", "--find-links", made]
    for words in (build, [*install, "--target", made / "there", "meterside"]):
        subprocess.run([sys.executable, "-m", *map(str, words)], check=True, cwd=made)
    return made / "there"


@pytest.fixture
def run(installed: Path, tmp_path: Path):
    """Runs a program outside the tree, with only the installed wheel to import ours from."""
    environment = {n: v for n, v in os.environ.items() if not n.startswith(("DJANGO", "METER"))}

    def call(*words: object) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *map(str, words)],
            cwd=tmp_path,
            env=environment | {"PYTHONPATH": str(installed)},
            capture_output=True,
            text=True,
            check=False,
        )

    (tmp_path / "site.json").write_bytes(SITE.read_bytes())
    return call


def test_the_command_decides_prints_and_shows(run, installed: Path, tmp_path: Path):
    command = installed / "bin" / "meterside"
    where = run("-c", "import connections.api as it; print(it.__file__)").stdout
    assert where.startswith(str(installed))
    decided = run(command, "assess", "site.json", "--remedies")
    assert json.loads(decided.stdout)["procedure"]["key"] == "sgi-2", decided.stderr
    assert json.loads(run(command, "schema", "decision").stdout)["title"] == "decision/1"
    assert "g98.unit_limit: 16 A" in run(command, "rulebook", "show", "g98.unit_limit").stdout
    assert run(command, "pack", "site.json", "--to", "out.pdf").stdout == "out.pdf\n"
    # The third example prints the same bytes.
    assert run("-c", EXAMPLES[2]).stderr == ""
    printed = (tmp_path / "pack.pdf").read_bytes()
    assert printed == (tmp_path / "out.pdf").read_bytes()
    first = pypdfium2.PdfDocument(printed)[0].get_textpage().get_text_range()
    assert "Not issued" in first


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (("assess", "nowhere.json"), 1, "nowhere.json can't be read: No such file or directory."),
        (("rulebook", "show", "time.nothing"), 1, 'There is no value "time.nothing"'),
        (("assess", "site.json", "--on", "soon"), 2, "'soon' is not a date"),
        (("pack", "site.json", "--to", "/proc/none/x.pdf"), 1, "/proc/none: "),
    ],
)
def test_a_fault_is_one_line(run, installed: Path, arguments, code: int, says: str):
    done = run(installed / "bin" / "meterside", *arguments)
    assert done.returncode == code
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_the_first_example_decides(run):
    done = run("-c", EXAMPLES[0])
    # (3,600 W + 3,680 W) / 230 V = 31.652 A: each behind an inverter of its own.
    assert done.stdout.splitlines()[0] == "sgi-2 {'L1': 31652}", done.stderr


def test_the_second_example_plots(run, tmp_path: Path):
    done = run("-c", EXAMPLES[1])
    assert done.returncode == 0, done.stderr
    drawn = (tmp_path / "sweep.svg").read_text("utf-8")
    assert drawn.startswith("<svg")
    assert drawn.count("<polyline") >= 2
    assert "one shared inverter" in drawn


def test_another_django_that_would_print_otherwise_is_named(run):
    done = run(
        "-c",
        "from django.conf import settings\nsettings.configure(USE_I18N=True)\n" + EXAMPLES[1],
    )
    assert "Another Django is set up in this process" in done.stderr


def test_a_django_of_somebody_else_that_prints_alike_is_left_alone(run):
    done = run(
        "-c",
        "from django.conf import settings\nsettings.configure(USE_I18N=False)\n" + EXAMPLES[1],
    )
    assert done.returncode == 0, done.stderr
