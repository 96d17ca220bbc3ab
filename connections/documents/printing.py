"""Print HTML to PDF by WeasyPrint, with our own assets only; any warning stops the print."""

import atexit
import datetime as dt
import gc
import logging
import os
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

from msgspec import Struct

from connections.documents.fetching import SCHEME, assets, pack_fetcher
from connections.documents.finishing import finish
from connections.documents.print_error import PrintError, TooLongError

# 2026-11-25: aim at PDF/A-3a; do not claim PDF/UA.
VARIANT = "pdf/a-3a"
_one_at_a_time = threading.Lock()
"""A print changes the process's environment, garbage collector and log handler. Several threads of
WeasyPrint are also slower than one print after another."""


class Attached(Struct, frozen=True):
    """A file embedded in the PDF. `relationship` is PDF's word: Data, Source, Supplement."""

    name: str
    content: bytes
    description: str
    relationship: str


def print_html(
    html: str, attached: tuple[Attached, ...], on: dt.date, *, most_pages: int | None = None
) -> bytes:
    """The PDF/A-3a of a page of HTML.

    Args:
        html: the whole document. It may load `pack:` assets only and needs to name none, since
            style and fonts are set here.
        attached: files to embed.
        on: the date of creation and change that the PDF carries.
        most_pages: how many pages it may have; more raise TooLongError.

    Raises PrintError if the page would load anything else, if WeasyPrint warns of anything, or if
    a font or library is missing.
    """
    moment = dt.datetime(on.year, on.month, on.day, tzinfo=dt.UTC)
    try:
        from weasyprint import HTML, Attachment
        from weasyprint.urls import FatalURLFetchingError
    except OSError as fault:
        raise PrintError(
            "The libraries that lay out text are missing; install the packages libpango-1.0-0, "
            f"libpangoft2-1.0-0 and libharfbuzz-subset0. ({fault})"
        ) from None
    files = [
        Attachment(
            string=file.content,
            name=file.name,
            description=file.description,
            created=moment,
            modified=moment,
            relationship=file.relationship,
        )
        for file in attached
    ]
    with _one_at_a_time, _clock(moment), _no_collecting(), _open_file(), _strict_log() as said:
        styles, font_config, fetcher = _house_style()
        try:
            document = HTML(
                string=html, base_url=f"{SCHEME}:", url_fetcher=fetcher, media_type="print"
            ).render(
                stylesheets=styles,
                font_config=font_config,
                pdf_variant=VARIANT,
            )
            pages = len(document.pages)
            if most_pages is not None and pages > most_pages:
                raise TooLongError(f"It has {pages} pages and may have {most_pages}.")
            content: bytes = document.write_pdf(
                finisher=finish, pdf_variant=VARIANT, attachments=files
            )
        # Not a subclass of Exception: a task's own `except Exception` would let it through.
        except FatalURLFetchingError as fault:
            raise PrintError(f"The print was stopped: {_cause(fault)}.") from None
    if said:
        raise PrintError(f"The print was stopped because of a warning: {'; '.join(said)}")
    return content


def _cause(fault: BaseException) -> str:
    return str(fault.__cause__ or fault)


@cache
def _house_style() -> tuple[list[Any], Any, Any]:
    """The style sheet parsed once, with its fonts and the fetcher."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    served = assets()
    fetcher = pack_fetcher(served)
    fonts = FontConfiguration()
    widths = "\n".join(f".w{n}{{width:{n}%}}" for n in range(1, 101))
    style = CSS(
        string=f"{served[f'{SCHEME}:pack.css'].decode()}\n{widths}",
        base_url=f"{SCHEME}:",
        url_fetcher=fetcher,
        font_config=fonts,
        media_type="print",
    )
    return [style], fonts, fetcher


# Free the fonts before the interpreter exits: later their library is gone.
atexit.register(_house_style.cache_clear)


@contextmanager
def _clock(moment: dt.datetime) -> Iterator[None]:
    """Set the pack's date for all code that asks the clock (fonts, above all)."""
    name = "SOURCE_DATE_EPOCH"
    before = os.environ.get(name)
    os.environ[name] = str(int(moment.timestamp()))
    try:
        yield
    finally:
        if before is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = before


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Stop garbage collection during layout: it takes a tenth to a fifth of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@contextmanager
def _open_file() -> Iterator[None]:
    """Ignore the warning that WeasyPrint 70 leaves the file of its colour profile open."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        yield


@contextmanager
def _strict_log() -> Iterator[list[str]]:
    """Collect WeasyPrint's warnings while printing."""
    said: list[str] = []

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            said.append(record.getMessage())

    logger = logging.getLogger("weasyprint")
    listener = Listener(logging.WARNING)
    level, passed_on = logger.level, logger.propagate
    logger.addHandler(listener)
    logger.setLevel(logging.WARNING)
    logger.propagate = False
    try:
        yield said
    finally:
        logger.removeHandler(listener)
        logger.setLevel(level)
        logger.propagate = passed_on
