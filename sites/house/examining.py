"""Examine one uploaded file, in a process of its own with little memory and time.

Run as a script, it reads a file from standard input and writes one line of JSON: the file's
`media_type` and `pages`, or the reason why it is refused (`refused`). For a picture, the picture
redrawn from its pixels follows, so that nothing else in the file comes along. Imports nothing of
ours, since the file comes from outside.
"""

import io
import json
import sys
from typing import Any

MOST_BYTES = 8_000_000
"""The largest file; a choice of ours, common practice, no source."""
MOST_PAGES = 60
MOST_PIXELS = 40_000_000
"""A page of A4 at 600 dots an inch has 35 million; a choice of ours."""
MOST_UNPACKED_BYTES = 50_000_000
"""Largest size of packed objects, and of what one page draws, once unpacked; those of ordinary
files are far below."""
MOST_UNPACKED_IN_ALL = 200_000_000
"""Largest size of all that is packed in a file once unpacked, pictures aside; our choice."""
SECONDS = 15
MEMORY_BYTES = 1_500_000_000

# 2026-11-25: refuse such a PDF and never clean it: the person prints it anew.
_ACTIVE = {
    "/JavaScript": "it holds a script",
    "/JS": "it holds a script",
    "/OpenAction": "it does something by itself when it is opened",
    "/AA": "it does something by itself when a page is turned",
    "/Launch": "it can start a program",
    "/EmbeddedFiles": "other files are hidden in it",
    "/EmbeddedFile": "other files are hidden in it",
    "/EF": "other files are hidden in it",
    "/RichMedia": "it plays films or sound",
    "/XFA": "it holds a form that runs by itself",
    "/SubmitForm": "it can send data elsewhere",
    "/ImportData": "it can read data from elsewhere",
    "/GoToR": "it opens another file",
    "/GoToE": "it opens another file",
    "/Thread": "it opens another file",
    "/Ref": "it shows pages of another file",
    "/Movie": "it plays films or sound",
    "/Sound": "it plays films or sound",
    "/Rendition": "it plays films or sound",
    "/GoTo3DView": "it plays films or sound",
}
_WEB = ("http://", "https://", "mailto:")
"""What a link may lead to. PDF 1.7 (ISO 32000-1), 12.6.4.7 takes any other scheme too."""
_REMEDY = "Print it to a new PDF and attach that one."
_TOO_LARGE = f"The PDF unpacks to far more than a document holds. {_REMEDY}"


class RefusedError(ValueError):
    """The file is refused; the message tells the sender why."""


def examined(content: bytes) -> tuple[dict[str, object], bytes]:
    """Type and pages of a file, and the redrawn picture (empty for a PDF). Raises RefusedError."""
    import filetype

    found = filetype.guess(content)
    kind = found.mime if found else ""
    if kind == "application/pdf":
        return {"media_type": kind, "pages": _pages(content)}, b""
    if kind in ("image/png", "image/jpeg"):
        return {"media_type": kind, "pages": 1}, _drawn_anew(content, kind)
    raise RefusedError("It is not a PDF, PNG or JPEG, whatever its name says. Attach one of those.")


def _pages(content: bytes) -> int:
    import pikepdf

    pikepdf.settings.set_qpdf_limits(flate_max_memory=MOST_UNPACKED_BYTES)
    try:
        with pikepdf.open(io.BytesIO(content)) as pdf:
            if pdf.is_encrypted:
                raise RefusedError(f"The PDF is locked. {_REMEDY}")
            pages = len(pdf.pages)
            if not 1 <= pages <= MOST_PAGES:
                raise RefusedError(
                    f"The PDF has {pages} pages; {MOST_PAGES} are the most. Attach the pages that "
                    "matter."
                )
            in_all = 0
            for thing in pdf.objects:
                if isinstance(thing, pikepdf.Stream):
                    in_all += _unpacked_bytes(thing)
                    if in_all > MOST_UNPACKED_IN_ALL:
                        raise RefusedError(_TOO_LARGE)
                _refuse_active(thing, 0)
            _refuse_active(pdf.trailer, 0)
            for page in pdf.pages:
                _refuse_large(page.obj)
    except pikepdf.PasswordError:
        raise RefusedError(f"The PDF is locked with a password. {_REMEDY}") from None
    except pikepdf.PdfError:
        raise RefusedError(f"The PDF is damaged and can't be read. {_REMEDY}") from None
    return pages


def _unpacked_bytes(stream: Any) -> int:
    """Size of a stream once unpacked; 0 for a picture. Raises RefusedError for a large one."""
    import pikepdf

    if stream.get("/F") is not None:
        # ISO 32000-1, 7.3.8.2: the data lies in another file.
        raise RefusedError(f"The PDF is refused because {_ACTIVE['/GoToR']}. {_REMEDY}")
    if stream.get("/Subtype") == "/Image":
        width, height = (stream.get(name, 0) for name in ("/Width", "/Height"))
        if not isinstance(width, int) or not isinstance(height, int):
            raise RefusedError(f"The PDF is damaged and can't be read. {_REMEDY}")
        if width * height > MOST_PIXELS:
            raise RefusedError(_TOO_LARGE)
        return 0
    try:
        # Fail if it can't be unpacked: it is empty here, but not elsewhere.
        return len(stream.read_bytes())
    except pikepdf.DataDecodingError as fault:
        if "memory limit" in str(fault):
            raise RefusedError(_TOO_LARGE) from None
        raise


def _refuse_large(page: Any) -> None:
    """Refuse a page that draws more than MOST_UNPACKED_BYTES, one stream many times perhaps."""
    import pikepdf

    drawn = page.get("/Contents")
    parts = list(drawn.as_list()) if isinstance(drawn, pikepdf.Array) else [drawn]
    sizes: dict[tuple[int, int], int] = {}
    whole = 0
    for part in parts:
        if isinstance(part, pikepdf.Stream):
            if part.objgen not in sizes:
                sizes[part.objgen] = len(part.read_bytes())
            whole += sizes[part.objgen]
        if whole > MOST_UNPACKED_BYTES:
            raise RefusedError(_TOO_LARGE)


def _refuse_link(address: object) -> None:
    """Refuse an address that leads to anything but a web page or an e-mail."""
    said = "".join(str(address).split()).lower()
    if not said.startswith(_WEB):
        raise RefusedError(
            f"The PDF is refused because a link in it leads to something else than a web page. "
            f"{_REMEDY}"
        )


def _refuse_active(thing: object, depth: int) -> None:
    """Search one object of a PDF; the caller goes through the indirect objects."""
    import pikepdf

    if depth > 40:
        raise RefusedError(f"The PDF is nested too deep to be looked through. {_REMEDY}")
    if isinstance(thing, pikepdf.Array):
        parts = list(thing.as_list())
    elif isinstance(thing, pikepdf.Dictionary | pikepdf.Stream):
        told = thing if isinstance(thing, pikepdf.Dictionary) else thing.stream_dict
        for key, value in told.items():
            if key in _ACTIVE:
                raise RefusedError(f"The PDF is refused because {_ACTIVE[key]}. {_REMEDY}")
            if key in ("/URI", "/Base") and isinstance(value, pikepdf.String):
                _refuse_link(value)
            if key in ("/S", "/Type", "/Subtype") and isinstance(value, pikepdf.Name):
                name = str(value)
                if name in _ACTIVE:
                    raise RefusedError(f"The PDF is refused because {_ACTIVE[name]}. {_REMEDY}")
        parts = [value for _, value in told.items()]
    else:
        return
    for part in parts:
        if isinstance(part, pikepdf.Object) and not part.is_indirect:
            _refuse_active(part, depth + 1)


def _drawn_anew(content: bytes, kind: str) -> bytes:
    from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

    wanted = "PNG" if kind == "image/png" else "JPEG"
    Image.MAX_IMAGE_PIXELS = None  # Checked below, before any pixel is drawn.
    ImageFile.LOAD_TRUNCATED_IMAGES = False  # WeasyPrint sets it: what is cut off would be grey.
    try:
        with Image.open(io.BytesIO(content), formats=(wanted,)) as picture:
            width, height = picture.size
            if width * height > MOST_PIXELS:
                raise RefusedError(
                    f"The picture has {width} × {height} points; {MOST_PIXELS // 1_000_000} "
                    "million are the most. Make it smaller and attach it again."
                )
            picture.load()
            upright = ImageOps.exif_transpose(picture)
            if wanted == "JPEG":
                mode = "L" if upright.mode == "L" else "RGB"
            else:
                has_alpha = "A" in upright.mode or "transparency" in upright.info
                mode = "RGBA" if has_alpha else ("L" if upright.mode in ("L", "1") else "RGB")
            pixels = upright.convert(mode)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as fault:
        if isinstance(fault, RefusedError):
            raise
        raise RefusedError(
            "The picture is damaged and can't be read. Save it again and attach that one."
        ) from None
    clean = Image.new(pixels.mode, pixels.size)
    clean.paste(pixels)
    out = io.BytesIO()
    if wanted == "JPEG":
        clean.save(out, "JPEG", quality=90)
    else:
        clean.save(out, "PNG")
    if out.tell() > MOST_BYTES:
        raise RefusedError(
            "The picture is too large once drawn. Save it as a JPEG and attach that."
        )
    return out.getvalue()


def _hold_back() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def main() -> None:
    """Read standard input, write the answer."""
    _hold_back()
    try:
        told, picture = examined(sys.stdin.buffer.read(MOST_BYTES + 1))
    except RefusedError as refused:
        told, picture = {"refused": str(refused)}, b""
    except (MemoryError, RecursionError):
        told, picture = {"refused": f"The file is too costly to look through. {_REMEDY}"}, b""
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + picture)


if __name__ == "__main__":
    main()
