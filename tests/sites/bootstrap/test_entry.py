"""What comes first for a command: set up, enter, go on or refuse."""

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from sites.bootstrap import old_python_message
from sites.bootstrap.entry import Situation, first_step
from sites.bootstrap.paths import ROOT


@pytest.mark.parametrize(
    ("command", "inside", "entered", "venv", "kind", "words"),
    [
        # The first time: two commands set up, the others are refused.
        ("demo", False, False, "absent", "set-up", ""),
        ("test", False, False, "absent", "set-up", ""),
        ("assess", False, False, "absent", "refuse", "no environment in .venv yet"),
        ("help", False, False, "absent", "refuse", "no environment in .venv yet"),
        # A set-up was cut short.
        ("demo", False, False, "broken", "set-up", ""),
        ("migrate", False, False, "broken", "refuse", "not complete"),
        # Later: a command only enters, the two look first whether a list has changed.
        ("demo", False, False, "whole", "set-up", ""),
        ("pack", False, False, "whole", "enter", ""),
        # Started with the interpreter of .venv.
        ("pack", True, False, "whole", "go-on", ""),
        ("test", True, False, "whole", "set-up", ""),
        # Put there by an earlier process: no second set-up.
        ("test", True, True, "whole", "go-on", ""),
        ("pack", True, True, "whole", "go-on", ""),
        # An interpreter that doesn't lead into .venv must not be started again and again.
        ("demo", False, True, "whole", "refuse", "does not work"),
        ("pack", False, True, "broken", "refuse", "does not work"),
    ],
)
def test_first_step(command, inside, entered, venv, kind, words):
    step = first_step(Situation(command=command, inside=inside, entered=entered, venv=venv))
    assert step.kind == kind
    assert words in step.sentence
    assert ("python3 manage.py demo" in step.sentence) is (kind == "refuse")


@pytest.mark.parametrize(
    ("version", "told"),
    [((2, 7), True), ((3, 6), True), ((3, 10), True), ((3, 11), False), ((3, 13), False)],
)
def test_an_old_python_is_told(version, told):
    message = old_python_message(version)
    assert (message is not None) is told
    if message is not None:
        assert (
            f"needs Python 3.11 or later, and this is Python {version[0]}.{version[1]}" in message
        )
        assert "\n" not in message


@pytest.mark.parametrize(
    "file", ["manage.py", "sites/bootstrap/__init__.py", "sites/bootstrap/__main__.py"]
)
def test_what_an_old_python_reads_is_in_its_syntax(file):
    tree = ast.parse((ROOT / file).read_text(), feature_version=(3, 6))
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            for hint in (node.returns, *(argument.annotation for argument in node.args.args)):
                assert hint is None or isinstance(hint, ast.Constant | ast.Name), ast.dump(hint)


def test_the_set_up_uses_the_standard_library_alone():
    for file in [ROOT / "manage.py", *(ROOT / "sites" / "bootstrap").glob("*.py")]:
        for node in ast.walk(ast.parse(file.read_text())):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0, f"{file}: a relative import"
                names = [node.module or ""]
            for name in names:
                ours = name == "sites" or name.startswith("sites.bootstrap")
                hand_over = file.name == "manage.py" and name.startswith("django.")
                standard = name.split(".")[0] in sys.stdlib_module_names
                assert standard or ours or hand_over, f"{file} imports {name}"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A working copy with the set-up code alone."""
    shutil.copy(ROOT / "manage.py", tmp_path)
    (tmp_path / "sites").mkdir()
    (tmp_path / "sites" / "__init__.py").touch()
    shutil.copytree(ROOT / "sites" / "bootstrap", tmp_path / "sites" / "bootstrap")
    return tmp_path


def run(copy: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {name: value for name, value in os.environ.items() if name != "METERSIDE_ENTERED"}
    return subprocess.run(
        [sys.executable, str(copy / "manage.py"), *arguments],
        capture_output=True,
        text=True,
        env=clean | environment,
        cwd="/",
        check=False,
    )


def test_a_command_before_the_set_up_ends_with_one_line(copy):
    done = run(copy, "assess", "site.json")
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "There is no environment in .venv yet. Run `python3 manage.py demo`" in done.stderr


def pretend_environment(copy: Path, program: str) -> Path:
    python = copy / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text(f"#!/bin/sh\n{program}\n")
    python.chmod(0o755)
    (copy / ".venv" / "pyvenv.cfg").write_text("version = 3.11.2\n")
    return python


def test_a_command_enters_with_its_arguments(copy):
    pretend_environment(copy, 'echo "$METERSIDE_ENTERED $@"; exit 7')
    done = run(copy, "assess", "a file.json", "--explain")
    assert done.returncode == 7
    assert done.stdout == f"1 {copy}/manage.py assess a file.json --explain\n"


def test_an_environment_that_leads_back_outside_does_not_loop(copy):
    pretend_environment(copy, f'exec {sys.executable} "$@"')
    done = run(copy, "assess")
    assert done.returncode == 1
    assert "The environment in .venv does not work" in done.stderr
    assert done.stderr.count("\n") == 1


def test_an_environment_without_an_interpreter_is_refused(copy):
    pretend_environment(copy, "").unlink()
    done = run(copy, "assess")
    assert done.returncode == 1
    assert "The environment in .venv is not complete" in done.stderr


def test_a_folder_without_rights_is_one_line(copy):
    # A file in the folder's place stops root as well, whom no mode would stop.
    (copy / ".data").write_text("")
    done = run(copy, "demo")
    assert done.returncode == 1
    assert done.stderr.startswith("Set-up failed: ")
    assert f"{copy}/.data" in done.stderr
    assert done.stderr.count("\n") == 1
