"""Serve the browser with one worker beside it, for the demo: two processes and their keeper.

The worker runs prints. It ends after a number of tasks, so that its memory stays small, and is
started again. Before each start, tasks of a dead worker go back into the queue.
"""

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from types import FrameType

ROOT = Path(__file__).resolve().parents[2]
TASKS_OF_ONE_WORKER = 50
GRACE_S = 10.0


class AddressTakenError(Exception):
    """Another program listens at the address already."""


class Keeper:
    """Starts server and worker, keeps both running, and ends both together."""

    def __init__(self, host: str, port: int) -> None:
        self.host, self.port = host, port
        self.going = True
        self.server: subprocess.Popen[bytes] | None = None
        self.worker: subprocess.Popen[bytes] | None = None

    def run(self) -> int:
        """Serve until told to stop. Returns the exit code. Raises AddressTakenError."""
        require_free(self.host, self.port)
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, self.stop)
        self.worker = start_worker()
        self.server = start_server(self.host, self.port)
        code = 0
        while self.going:
            time.sleep(0.3)
            if (ended := self.server.poll()) is not None:
                code = ended or 1
                break
            if self.worker.poll() is not None:
                self.worker = start_worker()
        end(self.server)
        end(self.worker)
        return code

    def stop(self, _number: int, _frame: FrameType | None) -> None:
        """Ask both to end."""
        self.going = False


def require_free(host: str, port: int) -> None:
    """Raises AddressTakenError if the port can't be listened on."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as fault:
            raise AddressTakenError(
                f"{host}:{port} can't be listened on ({fault.strerror}); choose another --port"
            ) from None


def start_server(host: str, port: int) -> "subprocess.Popen[bytes]":
    """Start one process with some threads: SQLite takes one writer at a time anyway."""
    return subprocess.Popen(
        [
            sys.executable,
            "-m",
            "gunicorn",
            "sites.wsgi",
            "--bind",
            f"{host}:{port}",
            "--threads",
            "4",
            "--no-control-socket",
            # Without it gunicorn takes these heads from whoever is on this machine, a proxy's
            # visitors included.
            "--forwarder-headers",
            "",
            "--log-level",
            "warning",
        ],
        cwd=ROOT,
        env=_environment(),
    )


def start_worker() -> "subprocess.Popen[bytes]":
    """Start a worker, after re-queueing the tasks of a dead one."""
    manage = [sys.executable, str(ROOT / "manage.py")]
    # There is only one worker: a task marked as running was left by a dead one.
    subprocess.run(
        [*manage, "reap_tasks", "--minutes", "0"], cwd=ROOT, env=_environment(), check=False
    )
    return subprocess.Popen(
        [*manage, "db_worker", "--max-tasks", str(TASKS_OF_ONE_WORKER), "--no-startup-delay"],
        cwd=ROOT,
        env=_environment(),
        stdout=subprocess.DEVNULL,
        # Its own process group: Ctrl-C reaches it through us, so that it can finish its task.
        start_new_session=True,
    )


def end(process: "subprocess.Popen[bytes] | None") -> None:
    """End a process: ask it first, kill it after GRACE_S seconds."""
    if process is None or process.poll() is not None:
        return
    process.terminate()
    try:
        process.wait(GRACE_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def _environment() -> dict[str, str]:
    return {**os.environ, "DJANGO_SETTINGS_MODULE": "sites.settings", "METERSIDE_DEMO": "1"}
