"""`manage.py pictures`: make the pictures of README anew, from demonstration sites.

The diagram and the pages of a pack are printed as for a pack, and pypdfium2 turns them into PNG.
Chromium takes the pages of the browser. Both are tools for tests (.ci/requirements.txt). Run it
when the look of a pack, a diagram or a page has changed.
"""

import importlib
import io
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.core.management.base import BaseCommand, CommandError

from sites.bootstrap.paths import ROOT

if TYPE_CHECKING:
    from PIL.Image import Image

    from connections.facts.site import Site

PICTURES = ROOT / "static" / "pictures"
SITE = ROOT / "sites" / "desk" / "demonstration" / "03-string-inverter-and-ac-storage.json"
SUMS = "What the network sees"
WIDTH_PX = 1000
COLOURS = 64
"""Ink, one accent, and the shades between them and the paper."""
COLOURS_OF_PAGES = 128
"""Of the browser's pages: the same, and the colours of severities with their tints."""

# A page around the drawing alone: no pack headings, little margin. Four drawing units are 1 mm.
_DIAGRAM_PAGE = """<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><title>Single-line diagram</title><style>
@page {{ size: {width}mm {height}mm; margin: {margin}mm;
  @top-left {{ content: none }} @top-right {{ content: none }}
  @bottom-left {{ content: none }} @bottom-right {{ content: none }} }}
figure svg {{ max-height: none }}
</style></head><body><figure>{svg}</figure></body></html>"""
_MARGIN_MM = 3


class Command(BaseCommand):
    """Writes each picture whole or not at all."""

    help = "Make the pictures of README anew from demonstration sites."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `--to`."""
        parser.add_argument(
            "--to",
            type=Path,
            default=PICTURES,
            metavar="FOLDER",
            help="where the pictures go; without it they replace those of README",
        )

    def handle(self, *_args: object, to: Path, **_options: object) -> None:
        """Raises CommandError in one line where a tool is missing or a picture can't be made."""
        from connections.assessing import Assessor, print_pack, write_aside
        from connections.documents.print_error import PrintError
        from sites.management.page_pictures import ToolMissingError, chromium, page_pictures

        pdfium = _pdfium()
        try:
            chromium()
        except ToolMissingError as missing:
            raise CommandError(str(missing)) from None
        assessor = Assessor()
        try:
            site = assessor.site(SITE.read_bytes())
            with tempfile.TemporaryDirectory() as aside:
                pack = print_pack(assessor, site, Path(aside) / "pack.pdf").read_bytes()
            made = {
                "diagram.png": _png(_page(pdfium, _diagram_pdf(site)), COLOURS),
                "pack-page-1.png": _png(_page(pdfium, pack), COLOURS),
                "pack-sums.png": _png(_page(pdfium, pack, SUMS), COLOURS),
            }
            for name, taken in page_pictures():
                made[name] = _png(_opened(taken), COLOURS_OF_PAGES)
            for name, picture in made.items():
                path = write_aside(to / name, picture)
                self.stdout.write(f"{path} ({path.stat().st_size // 1000} kB)")
        except (PrintError, RuntimeError, ValueError) as fault:
            raise CommandError(f"The pictures can't be made: {fault}") from None
        except OSError as fault:
            raise CommandError(f"{fault.filename}: {fault.strerror}.") from None


def _pdfium() -> Any:
    try:
        return importlib.import_module("pypdfium2")
    except ImportError:
        raise CommandError(
            "pypdfium2 is not installed, which turns pages into pictures; "
            "`python3 -m sites.bootstrap test` installs the tools."
        ) from None


def _diagram_pdf(site: "Site") -> bytes:
    """The first sheet of the site's diagram on a page of its own size."""
    from connections.diagram.drawing import UNITS_PER_MM
    from connections.diagram.single_line import draw
    from connections.documents.diagrams import diagram_svgs
    from connections.documents.printing import print_html

    sheet = draw(site)[0]
    html = _DIAGRAM_PAGE.format(
        width=sheet.width // UNITS_PER_MM + 2 * _MARGIN_MM,
        height=-(-sheet.height // UNITS_PER_MM) + 2 * _MARGIN_MM,
        margin=_MARGIN_MM,
        svg=diagram_svgs(site)[0],
    )
    return print_html(html, (), site.on_date)


def _page(pdfium: Any, pdf: bytes, section: str = "") -> "Image":
    """The page on which a section begins, by its title in the outline, or the first page."""
    with pdfium.PdfDocument(pdf) as document:
        page = document[_number(document, section) if section else 0]
        picture: Image = page.render(scale=WIDTH_PX / page.get_width()).to_pil()
        return picture.crop((0, 0, WIDTH_PX, picture.height))  # half a pixel may be too many


def _number(document: Any, section: str) -> int:
    for mark in document.get_toc():
        if mark.get_title().endswith(section):
            return int(mark.get_dest().get_index())
    raise ValueError(f'no section of the pack is called "{section}".')


def _opened(taken: bytes) -> "Image":
    from PIL import Image

    return Image.open(io.BytesIO(taken))


def _png(picture: "Image", colours: int) -> bytes:
    """The picture with few colours, as PNG."""
    from PIL.Image import Dither, Quantize

    out = io.BytesIO()
    # Other methods choose by how often a colour occurs, and the accent would go grey.
    few = picture.convert("RGB").quantize(colours, Quantize.FASTOCTREE, dither=Dither.NONE)
    few.save(out, "PNG", optimize=True)
    return out.getvalue()
