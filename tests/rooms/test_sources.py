"""Pure rooms know no clock, no files, no network and no chance: seen in their source."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "connections"
ROOMS = ("facts", "calendar", "electrical", "rules", "remedies", "energy", "prices")

# Modules that bring the outside world in.
OUTSIDE = {
    "asyncio", "http", "io", "logging", "multiprocessing", "os", "pathlib",
    "random", "secrets", "shutil", "socket", "sqlite3", "subprocess", "tempfile", "threading",
    "time", "urllib", "uuid",
}  # fmt: skip
# Calls that do.
CALLS = {"open", "print", "input", "exec", "eval", "now", "today", "utcnow"}


def sources() -> list[Path]:
    return [path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py"))]


@pytest.mark.parametrize("path", sources(), ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_no_clock_no_files_no_network(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names = {(node.module or "").split(".")[0]}
        elif isinstance(node, ast.Call):
            names = set()
            called = node.func
            name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
            assert name not in CALLS, f"line {node.lineno}: {name}()"
        else:
            continue
        assert not names & OUTSIDE, f"line {node.lineno}: {names & OUTSIDE}"


# No float decides: no fraction is written down and nothing is divided into one. (Computed checks,
# such as voltage rise, do use floats; the sums do not.)
EXACT = [
    ROOT / "electrical/phase_sums.py",
    ROOT / "electrical/balance.py",
    *sorted((ROOT / "facts").rglob("*.py")),
    *sorted(p for p in (ROOT / "rules").rglob("*.py") if ROOT / "rules/checks" not in p.parents),
    *sorted((ROOT / "remedies").rglob("*.py")),
    *sorted((ROOT / "prices").rglob("*.py")),
]
# Where a float cannot reach a decision: the middle at which a search halves a range.
ALLOWED = {("completions.py", 0.5)}


@pytest.mark.parametrize("path", EXACT, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_no_float_decides(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            assert (path.name, node.value) in ALLOWED, f"line {node.lineno}"
        if isinstance(node, ast.BinOp):
            assert not isinstance(node.op, ast.Div), f"line {node.lineno}"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id != "float", f"line {node.lineno}"
