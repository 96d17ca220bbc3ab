"""`manage.py demo` serves with a worker beside it, and both end when it is told to."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from sites.management.serving import AddressTakenError, require_free

ROOT = Path(__file__).resolve().parents[3]
LONGEST_S = 60


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_a_taken_address_is_said_in_one_sentence() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(AddressTakenError, match=f"127.0.0.1:{port} can't be listened on"):
            require_free("127.0.0.1", port)


def answers(address: str) -> str:
    """What the address answers, once it does."""
    end = time.monotonic() + LONGEST_S
    while time.monotonic() < end:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except OSError:
            time.sleep(0.2)
    raise AssertionError(f"{address} did not answer in {LONGEST_S} s")


def children_of(pid: int) -> set[int]:
    done = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(pid)], capture_output=True, text=True, check=False
    )
    return {int(word) for word in done.stdout.split()}


def test_the_demo_serves_until_it_is_told_to_stop(tmp_path: Path) -> None:
    port = free_port()
    env = {**os.environ, "DATABASE_URL": f"sqlite:///{tmp_path / 'demo.sqlite3'}"}
    with subprocess.Popen(
        [sys.executable, "manage.py", "demo", "--port", str(port)],
        cwd=ROOT,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as demo:
        try:
            assert "database: answers" in answers(f"http://127.0.0.1:{port}/health/")
            assert "Sign in" in answers(f"http://127.0.0.1:{port}/")
            helpers = children_of(demo.pid)
            assert len(helpers) == 2  # the server and the worker
            demo.send_signal(signal.SIGTERM)
            said, fault = demo.communicate(timeout=LONGEST_S)
        finally:
            demo.kill()
    assert demo.returncode == 0, fault
    assert f"Open http://127.0.0.1:{port}/ and sign in as" in said
    assert "Loaded into the database: 4 people, 12 premises." in said
    for pid in helpers:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)
