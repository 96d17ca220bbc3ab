"""Examine an uploaded file and name it safely, before any row knows of it."""

import json
import subprocess
import sys
import unicodedata
from pathlib import Path

from msgspec import Struct

from sites.house import examining
from sites.house.few import BusyError, one_of_few
from sites.house.refusals import RefusedError

_ENDINGS = {
    "application/pdf": ".pdf",
    "image/png": ".png",
    "image/jpeg": ".jpg",
    "text/csv": ".csv",
}


_WAIT_S = 30


class Upload(Struct, frozen=True):
    """An examined file: its safe name, title, type, the bytes to keep, and its pages."""

    name: str
    title: str
    media_type: str
    content: bytes
    pages: int


def examine(*, name: str, content: bytes, title: str = "") -> Upload:
    """Examine an uploaded file in a process of its own; touches no row.

    A picture is redrawn from its pixels. Raises RefusedError naming the box `file`.
    """
    if not content:
        raise RefusedError("The file is empty. Choose another one.", "file")
    if len(content) > examining.MOST_BYTES:
        raise RefusedError(too_large(len(content)), "file")
    try:
        with one_of_few():
            done = subprocess.run(
                [sys.executable, "-I", str(Path(examining.__file__))],
                input=content,
                capture_output=True,
                timeout=_WAIT_S,
                check=False,
            )
    except subprocess.TimeoutExpired:
        done = None
    except BusyError:
        raise RefusedError(
            "Others are attaching files just now. Send this one again in a moment.", "file"
        ) from None
    if done is None or done.returncode:
        raise RefusedError(
            "The file can't be looked through. Print it to a new PDF and attach that one.", "file"
        )
    head, _, picture = done.stdout.partition(b"\n")
    told = json.loads(head)
    if refused := told.get("refused"):
        raise RefusedError(refused, "file")
    return Upload(
        name=safe_name(name, told["media_type"]),
        title=" ".join(title.split())[:200],
        media_type=told["media_type"],
        content=picture or content,
        pages=told["pages"],
    )


def too_large(size_bytes: int) -> str:
    """Message for a file, or a whole post, that is too large."""
    most = examining.MOST_BYTES // 1_000_000
    return (
        f"The file has {size_bytes / 1_000_000:.1f} MB; {most} MB are the most. Save it smaller, "
        "or attach the pages that matter."
    )


def safe_name(name: str, media_type: str) -> str:
    """The name without folders and invisible characters, with the ending of its content."""
    base = name.replace("\\", "/").rpartition("/")[2]
    seen = "".join(c for c in base if unicodedata.category(c)[0] != "C")
    ending = _ENDINGS[media_type]
    stem = " ".join(seen.split())
    for known in (*_ENDINGS.values(), ".jpeg"):
        if stem.lower().endswith(known):
            stem = stem[: -len(known)]
            break
    return f"{stem.strip('. ')[:150] or 'file'}{ending}"
