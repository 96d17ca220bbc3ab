"""Links lead somewhere, pictures are there, and nothing names a place on one machine."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.management import get_commands
from PIL import Image

from sites.bootstrap.paths import ROOT
from sites.house.reading.help import HELP
from tests.docs.markdown import anchors, links, names, prose

# A path from the root of a disk, from somebody's home, or with a drive letter.
ABSOLUTE = re.compile(r"(?<![\w.:/<*)])/[A-Za-z]\w*/|(?<!\w)~/|\b[A-Z]:\\")
LARGEST_PICTURE = 250_000


def test_links_lead_to_files_and_headings(path: Path):
    page = path.read_text(encoding="utf-8")
    for link in links(page):
        assert "://" not in link.target, link
        name, _, anchor = link.target.partition("#")
        led_to = path.parent / name if name else path
        assert led_to.is_file(), link
        if anchor:
            assert anchor in anchors(led_to.read_text(encoding="utf-8")), link


def test_no_absolute_path(path: Path):
    if path.name == "running.md":
        return  # where a system keeps its services
    assert ABSOLUTE.findall(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("see /opt/thing/file", True),
        ("`/srv/data/`", True),
        ("in ~/thing", True),
        (r"C:\thing", True),
        ("kVA/kW/A and and/or/not", False),
        ("connections/demo/01.json", False),
        ("`rows/steps/`", False),
    ],
)
def test_what_an_absolute_path_is(text: str, is_one: bool):
    assert bool(ABSOLUTE.search(text)) is is_one


def test_pictures_are_there_and_small(readme: str, browser: str):
    pictures = [
        (place / link.target).resolve()
        for place, page in ((ROOT, readme), (HELP, browser))
        for link in links(page)
        if link.picture
    ]
    assert {picture.name: width for picture, width in widths(pictures)} == {
        "diagram.png": 1000,
        "pack-page-1.png": 1000,
        "pack-sums.png": 1000,
        "page-pack.png": 1280,
        "page-review.png": 1280,
        "page-sheet.png": 1280,
    }
    assert len({picture.read_bytes() for picture in pictures}) == len(pictures)


def widths(pictures: list[Path]) -> Iterator[tuple[Path, int]]:
    """The width of each, once it is seen to be small and to have a palette."""
    for picture in pictures:
        assert picture.stat().st_size < LARGEST_PICTURE
        with Image.open(picture) as opened:
            assert opened.mode == "P"
            yield picture, opened.width


def test_pictures_say_what_they_show(everything: str):
    assert all(len(link.text) > 40 for link in links(everything) if link.picture)


def test_files_named_as_code_are_there(path: Path):
    page = prose(path.read_text(encoding="utf-8"))
    # Not the names of formats ("site/1"), and not the pattern of a name ("NN-...").
    named = [
        name
        for name in names(page)
        if re.fullmatch(r"\.?[\w-]+(/[\w.-]*)+", name) and not re.search(r"/\d$|NN", name)
    ]
    folders = (ROOT, ROOT / "connections", ROOT / "connections/rulebook/data")
    not_there = [
        name
        for name in named
        if not name.startswith((".data", ".venv"))
        and not any((folder / name).exists() for folder in folders)
    ]
    assert not_there == []
    # A name alone is that of a file beside one that is named whole.
    alone = [name for name in names(page) if re.fullmatch(r"\w[\w-]*\.(py|toml|html|css)", name)]
    assert [name for name in alone if not (set(ROOT.glob(name)) or inside(name))] == []


def inside(name: str) -> bool:
    """Whether a folder of ours has a file of this name."""
    return any(
        path
        for folder in ("connections", "sites", "tests", "templates", "static")
        for path in (ROOT / folder).rglob(name)
    )


def test_commands_named_are_ours(path: Path):
    page = path.read_text(encoding="utf-8")
    named = set(re.findall(r"manage\.py ([a-z_]+)", page))
    assert named <= get_commands().keys()
