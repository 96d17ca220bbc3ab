"""Files of the set-up, all in the two ignored folders of the repository."""

from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Paths:
    """The files and folders of one working copy; `root` is the folder of manage.py."""

    root: Path = ROOT

    @property
    def venv(self) -> Path:
        """The environment that every command runs in."""
        return self.root / ".venv"

    @property
    def python(self) -> Path:
        """The interpreter inside the environment."""
        return self.venv / "bin" / "python"

    @property
    def stamps(self) -> Path:
        """One file for every finished step, holding the hash of the step's input."""
        return self.venv / ".stamps"

    @property
    def unfinished(self) -> Path:
        """Exists while packages are being installed; an interrupted run leaves it behind."""
        return self.stamps / "unfinished"

    @property
    def data(self) -> Path:
        """Run-time data that is not source."""
        return self.root / ".data"

    @property
    def log(self) -> Path:
        """What the tools printed during the last set-up that had work to do."""
        return self.data / "setup.log"

    @property
    def lock(self) -> Path:
        """Held by the one set-up that may change the environment."""
        return self.data / "setup.lock"

    def requirements(self, purpose: str) -> tuple[Path, ...]:
        """The package lists for "demo" (run time) or "test" (run time and tools)."""
        run_time = self.root / "requirements.txt"
        return (run_time, self.root / ".ci" / "requirements.txt")[: 2 if purpose == "test" else 1]
