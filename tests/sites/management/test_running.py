"""Run it in earnest: the first steps, the lines of the units, a backup, and a restored copy that
serves; all in processes of their own, on a folder of their own.
"""

import configparser
import getpass
import os
import re
import shlex
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from contextlib import contextmanager
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
UNITS = ROOT / ".install"
TREE = "/srv/meterside"
PASSWORD = "a long invented word"
LONGEST_S = 90


def lines_of(unit: str, key: str) -> list[str]:
    """The commands of a unit, as systemd takes them apart, in this tree."""
    parser = configparser.ConfigParser(interpolation=None, strict=False, delimiters="=")
    parser.optionxform = str  # type: ignore[assignment]
    parser.read(UNITS / unit)
    line = parser["Service"][key].replace("%%", "%").replace("$$", "$")
    line = line.replace(f"{TREE}/.venv/bin/python", sys.executable).replace(TREE, str(ROOT))
    return shlex.split(line)


class Installation:
    """A folder of data with its variables, and programs that run with these alone."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self.folder = folder
        self.started: subprocess.CompletedProcess[str] | None = None
        self.database = folder / "firm.sqlite3"
        kept = {n: v for n, v in os.environ.items() if n in {"PATH", "HOME", "LANG"}}
        self.environment = kept | {
            "DATA_DIR": str(folder),
            "DATABASE_URL": f"sqlite:///{self.database}",
            "ALLOWED_HOSTS": "127.0.0.1",
        }

    def manage(self, *words: object, typed: str = "") -> subprocess.CompletedProcess[str]:
        return self.run([sys.executable, "manage.py", *map(str, words)], typed=typed)

    def run(self, words: list[str], typed: str = "") -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            words,
            cwd=ROOT,
            env=self.environment,
            input=typed,
            capture_output=True,
            text=True,
            check=False,
            timeout=LONGEST_S,
        )

    @contextmanager
    def serving(self):
        """The address at which the web unit's own line serves this installation."""
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        words = [
            word.replace(":8000", f":{port}")
            for word in lines_of("meterside-web.service", "ExecStart")
        ]
        with subprocess.Popen(words, cwd=ROOT, env=self.environment, stderr=subprocess.PIPE) as web:
            try:
                yield f"http://127.0.0.1:{port}"
            finally:
                web.terminate()
                web.communicate(timeout=LONGEST_S)


def answer(address: str) -> tuple[int, str]:
    """Code and text, once the address answers."""
    end = time.monotonic() + LONGEST_S
    while time.monotonic() < end:
        try:
            with urllib.request.urlopen(address, timeout=10) as found:
                return found.status, found.read().decode()
        except urllib.error.HTTPError as refused:
            return refused.code, refused.read().decode()
        except OSError:
            time.sleep(0.2)
    raise AssertionError(f"{address} did not answer")


START = ("start_firm", "--name", "Harrow Lane Solar", "--manager", "m@firm.example")


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """An installation after its first steps."""
    made = Installation(tmp_path_factory.mktemp("firm") / "data")
    made.started = made.manage(*START, "--person", "Ada Invented", typed=f"{PASSWORD}\n")
    return made


def test_the_first_steps_make_all_and_say_what_is_left(installed):
    said = installed.started
    assert said.returncode == 0, said.stderr
    key = installed.folder / "secret-key"
    assert (key.stat().st_mode & 0o777, installed.database.stat().st_mode & 0o077) == (0o600, 0)
    assert len(key.read_text().strip()) >= 50
    for words in ("Firm: Harrow Lane Solar.", "signs in as m@firm.example", "set HTTPS_ONLY=on"):
        assert words in said.stdout
    again = installed.manage(*START, "--person", "Ada Invented")
    assert again.returncode == 0, again.stderr
    assert "Secret: made" not in again.stdout


def test_a_weak_password_makes_no_manager(installed):
    words = ("start_firm", "--name", "X", "--manager", "other@firm.example", "--person", "B")
    done = installed.manage(*words, typed="short\n")
    assert done.returncode == 1
    assert "too short" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_backup_is_taken_and_a_restored_copy_serves(installed, tmp_path):
    """Nightly work, then a backup while it serves; the copy knows of the night."""
    night = installed.run(lines_of("meterside-nightly.service", "ExecStart"))
    assert night.returncode == 0, night.stderr
    assert "Files without a row: 0 files removed." in night.stdout
    assert "Ended sessions: done." in night.stdout
    words = [
        word.replace("/var/backups/meterside", str(tmp_path))
        for word in lines_of("meterside-backup.service", "ExecStart")
    ]
    with installed.serving() as address:
        assert answer(f"{address}/ready/")[0] == 200
        done = installed.run(words)
    assert done.returncode == 0, done.stderr
    (archive,) = tmp_path.glob("*.zip")
    assert archive.stat().st_mode & 0o077 == 0
    assert "Not inside: the secret key" in done.stdout

    copy = Installation(tmp_path / "copy")
    restored = copy.manage("restore", archive)
    assert restored.returncode == 0, restored.stderr
    assert copy.manage("restore", archive).stderr == (
        "CommandError: The database holds people already. Add --over to replace it all.\n"
    )
    assert copy.manage("restore", archive, "--over").returncode == 0
    copy.environment["SECRET_KEY"] = "x" * 50
    with copy.serving() as address:
        assert answer(f"{address}/ready/") == (200, "database: answers\ntables: up to date\n")
        code, told = answer(f"{address}/health/")
    assert code == 200, told
    assert re.search(r"nightly: ended last at 20\d\d-", told)


def test_a_cut_or_changed_archive_is_refused(installed, tmp_path):
    archive = tmp_path / "whole.zip"
    assert installed.manage("back_up", archive).returncode == 0
    before = installed.database.read_bytes()
    cut, changed = tmp_path / "cut.zip", tmp_path / "changed.zip"
    cut.write_bytes(archive.read_bytes()[:-1000])
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(changed, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, content + b" " if name.startswith("database") else content)
    for path, says in ((cut, "is cut or is no backup"), (changed, "was changed")):
        done = installed.manage("restore", path, "--over")
        assert (done.returncode, done.stdout) == (1, "")
        assert says in done.stderr
    assert installed.database.read_bytes() == before


def test_every_unit_names_what_is_there():
    for unit in UNITS.glob("*.service"):
        text = unit.read_text()
        for path in re.findall(rf"{TREE}/(\S+)", text):
            assert path == ".venv/bin/python"
        for command in re.findall(r"manage\.py (\w+)", text):
            assert f"manage.py {command}" in (ROOT / "DEVELOPERS.md").read_text() or command in {
                "check",
                "db_worker",
            }
    named = re.findall(r"^#? ?([A-Z_]+)=", (UNITS / "meterside.env").read_text(), re.M)
    said = (ROOT / "sites/settings.py").read_text()
    assert named
    assert [name for name in named if f"| {name} |" not in said] == []


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="no systemd here")
def test_systemd_takes_the_units(tmp_path):
    for unit in UNITS.glob("meterside-*"):
        text = (
            unit.read_text()
            .replace(TREE, str(ROOT))
            .replace("User=meterside", f"User={getpass.getuser()}")
        )
        (tmp_path / unit.name).write_text(text.replace("Group=meterside", ""))
    done = subprocess.run(
        ["systemd-analyze", "verify", *map(str, tmp_path.glob("meterside-*"))],
        capture_output=True,
        text=True,
        check=False,
    )
    assert [line for line in done.stderr.splitlines() if "meterside-" in line] == []
