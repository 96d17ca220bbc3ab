"""The pictures are made by the project itself, and a missing tool is one line."""

import importlib
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from PIL import Image

from sites.bootstrap.paths import ROOT
from sites.management import page_pictures
from sites.management.commands import pictures

MADE = {
    "diagram.png": 1000,
    "pack-page-1.png": 1000,
    "pack-sums.png": 1000,
    "page-pack.png": 1280,
    "page-review.png": 1280,
    "page-sheet.png": 1280,
}


@pytest.mark.browser
def test_pictures_are_made(tmp_path: Path):
    """In a process of its own: it makes a database, as pytest has done here already."""
    done = subprocess.run(
        [sys.executable, ROOT / "manage.py", "pictures", "--to", tmp_path / "new"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    made = sorted((tmp_path / "new").iterdir())
    assert [path.name for path in made] == list(MADE)
    assert len(done.stdout.splitlines()) == len(made)
    for path in made:
        with Image.open(path) as picture:
            assert (picture.width, picture.mode) == (MADE[path.name], "P")
            ink = picture.convert("L").point(lambda grey: 255 * (grey < 128)).getbbox()
            assert ink is not None
            # Something is drawn from the upper to the lower part of the page.
            assert ink[3] - ink[1] > picture.height // 2


@pytest.mark.parametrize(
    ("module", "says"),
    [
        ("pypdfium2", r"^pypdfium2 is not installed.*installs the tools"),
        ("playwright.sync_api", r"^playwright is not installed.*installs the tools"),
    ],
)
def test_a_lacking_tool_is_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, module: str, says: str
):
    there = importlib.import_module

    def without(name: str, *args: Any) -> Any:
        if name == module:
            raise ImportError(name)
        return there(name, *args)

    monkeypatch.setattr(importlib, "import_module", without)
    with pytest.raises(CommandError, match=says):
        call_command("pictures", to=tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_lacking_browser_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    with pytest.raises(CommandError, match=r"^chromium is not installed; type: .*apt-get install"):
        call_command("pictures", to=tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.browser
def test_a_section_that_is_not_there_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setattr(pictures, "SUMS", "Something else")
    with pytest.raises(CommandError, match='no section of the pack is called "Something else"'):
        call_command("pictures", to=tmp_path / "new")
    assert not (tmp_path / "new").exists()


@pytest.mark.browser
def test_a_browser_that_fails_is_one_line(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(page_pictures, "_ARGUMENTS", [])
    with (
        pytest.raises(RuntimeError, match=r"^Chromium says: .+$"),
        page_pictures._browser("/nowhere/chromium"),
    ):
        raise AssertionError("a browser that is not there was started")
