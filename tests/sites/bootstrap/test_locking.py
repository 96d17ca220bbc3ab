"""Two set-ups at once."""

import subprocess
import sys

import pytest

from sites.bootstrap.locking import only_one
from sites.bootstrap.paths import ROOT
from sites.bootstrap.tools import Tools

# Takes the lock, adds a line, and ends.
OTHER = """
import sys
from pathlib import Path
from sites.bootstrap.locking import only_one
with only_one(Path(sys.argv[1])), open(sys.argv[2], "a") as order:
    order.write("second\\n")
"""


def test_the_second_waits_and_says_so(tmp_path):
    lock, order = tmp_path / "new" / "lock", tmp_path / "order"
    with only_one(lock):
        other = subprocess.Popen(
            [sys.executable, "-c", OTHER, str(lock), str(order)],
            cwd=ROOT,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert other.stderr is not None
        # Reading waits until the other one has said that it waits.
        said = other.stderr.readline()
        with pytest.raises(subprocess.TimeoutExpired):
            other.wait(timeout=0.3)
        with order.open("a") as file:
            file.write("first\n")
    assert other.wait(timeout=30) == 0
    other.stderr.close()
    assert said == "Another set-up is at work here; waiting for it ...\n"
    assert order.read_text() == "first\nsecond\n"


def test_a_free_lock_is_taken_in_silence(tmp_path, capsys):
    with only_one(tmp_path / "lock"):
        pass
    assert capsys.readouterr() == ("", "")


# Tries the lock from another open file, as another set-up would; 0 if it is free.
TRY = """
import fcntl, sys
try:
    fcntl.flock(open(sys.argv[1], "a"), fcntl.LOCK_EX | fcntl.LOCK_NB)
except BlockingIOError:
    sys.exit(9)
"""


@pytest.mark.parametrize(("starts_servers", "code"), [(False, 9), (True, 0)])
def test_a_tool_goes_on_holding_the_lock_of_a_set_up_that_was_killed(
    tmp_path, starts_servers, code
):
    lock_file = tmp_path / "lock"
    # Leaves a program behind that lives until it can read from a pipe.
    leave = f"exec 3<>{tmp_path}/pipe; (read line <&3) >/dev/null 2>&1 & "
    subprocess.run(["mkfifo", str(tmp_path / "pipe")], check=True)
    with only_one(lock_file) as lock:
        Tools(tmp_path / "log", lock).work(["sh", "-c", leave], starts_servers=starts_servers)
    held = subprocess.run([sys.executable, "-c", TRY, str(lock_file)], check=False)
    (tmp_path / "pipe").write_text("end\n")
    assert held.returncode == code
