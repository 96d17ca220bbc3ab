"""`manage.py pack`: one PDF marked "not issued", or one clear line and nothing written."""

import io
import json
from pathlib import Path

import pypdfium2
import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

DEMO = Path(__file__).resolve().parents[3] / "sites" / "desk" / "demonstration"


def run(*args: str) -> str:
    out = io.StringIO()
    call_command("pack", *args, stdout=out)
    return out.getvalue()


def text_of(pdf: Path) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_range() for page in document]


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demonstration site, printed."""
    to = tmp_path_factory.mktemp("pack") / "new folder" / "out.pdf"
    assert run(str(DEMO / "05-pv-only.json"), "--to", str(to)).strip() == str(to)
    return to


def test_a_demo_site_is_printed_and_marked_on_every_page(printed: Path) -> None:
    pages = text_of(printed)
    assert all("Not issued" in page for page in pages)
    assert "FH-105 PV only" in pages[0]


def test_the_same_file_prints_the_same_bytes(printed: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.pdf"
    run(str(DEMO / "05-pv-only.json"), "--to", str(again))
    assert again.read_bytes() == printed.read_bytes()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"units": []}, "units: at least 1 entry is needed"),
        ({"on_date": "2018-01-01"}, "on_date: "),
        ({"colour": "red"}, "colour: this key is not part of a site file"),
    ],
)
def test_a_bad_file_gives_one_line_and_no_pdf(
    tmp_path: Path, change: dict[str, object], says: str
) -> None:
    site = json.loads((DEMO / "05-pv-only.json").read_text()) | change
    file, to = tmp_path / "site.json", tmp_path / "out.pdf"
    file.write_text(json.dumps(site))
    with pytest.raises(CommandError) as fault:
        run(str(file), "--to", str(to))
    assert says in str(fault.value)
    assert "\n" not in str(fault.value)
    assert list(tmp_path.iterdir()) == [file]


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"nowhere\.json"):
        run(str(tmp_path / "nowhere.json"), "--to", str(tmp_path / "out.pdf"))


def test_the_date_and_the_area_can_be_overridden(tmp_path: Path) -> None:
    to = tmp_path / "out.pdf"
    run(str(DEMO / "05-pv-only.json"), "--to", str(to), "--on", "2026-12-01", "--area", "gb-23")
    first = text_of(to)[0]
    assert "1 December 2026" in first
    assert "gb-23" in first
