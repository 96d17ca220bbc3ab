"""The pictures are made by the project itself, and a missing tool is one line."""

import importlib
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from PIL import Image

from connections.management.commands import pictures


def test_pictures_are_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    call_command("pictures", to=tmp_path / "new")
    made = sorted((tmp_path / "new").iterdir())
    assert [path.name for path in made] == ["diagram.png", "pack-page-1.png", "pack-sums.png"]
    assert len(capsys.readouterr().out.splitlines()) == len(made)
    for path in made:
        with Image.open(path) as picture:
            assert (picture.width, picture.mode) == (1000, "P")
            ink = picture.convert("L").point(lambda grey: 255 * (grey < 128)).getbbox()
            assert ink is not None
            # Something is drawn from the upper to the lower part of the page.
            assert ink[3] - ink[1] > picture.height // 2


def test_a_lacking_tool_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    def lacks(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(importlib, "import_module", lacks)
    with pytest.raises(CommandError, match=r"^pypdfium2 is not installed.*installs the tools"):
        call_command("pictures", to=tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_section_that_is_not_there_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setattr(pictures, "SUMS", "Something else")
    with pytest.raises(CommandError, match='no section of the pack is called "Something else"'):
        call_command("pictures", to=tmp_path / "new")
    assert not (tmp_path / "new").exists()
