"""From a frozen pack, or its annex, to a PDF."""

import hashlib
from collections.abc import Mapping
from types import MappingProxyType

from connections.documents.html import annex_html, pack_html
from connections.documents.print_error import PrintError
from connections.documents.printing import Attached, print_html
from connections.pack.content import Annex, AttachedFile, Content, Pack, digest_faults, write_pack
from connections.pack.pack_error import PackError
from connections.pack.sections.closing import embedded_name

DATA_FILE = "pack.json"
ANNEX_FILE = "annex.json"
_NO_FILES: Mapping[str, bytes] = MappingProxyType({})


def render(pack: Pack, files: Mapping[str, bytes] = _NO_FILES) -> bytes:
    """Print a frozen pack as tagged PDF/A-3a, with its content as `pack.json` and its files.

    `files` holds the bytes of the attached files by SHA-256. The same content on the same renderer
    (WeasyPrint, fonts, templates) gives the same bytes. Takes 1 to 3 s and blocks; call it in a
    worker process.

    Raises PackError if the digests don't fit the content. Raises PrintError if it can't be printed,
    or if a file is missing or not the one listed.
    """
    data = _data(pack, DATA_FILE, "The content of this pack as data")
    attached = tuple(
        _attached(number, file, files)
        for number, file in enumerate(pack.technical.attachments, start=1)
    )
    return print_html(pack_html(pack), (data, *attached), pack.prepared_on)


def render_annex(annex: Annex) -> bytes:
    """Print a frozen annex as a PDF of its own, with its content as `annex.json`.

    Same bytes and same errors as `render`.
    """
    data = _data(annex, ANNEX_FILE, "The content of this annex as data")
    return print_html(annex_html(annex), (data,), annex.prepared_on)


def _data(content: Content, name: str, description: str) -> Attached:
    if wrong := digest_faults(content):
        raise PackError(f"digests.{wrong[0]}", "the digest does not fit the content")
    return Attached(name, write_pack(content), description, "Data")


def _attached(number: int, file: AttachedFile, files: Mapping[str, bytes]) -> Attached:
    content = files.get(file.sha256)
    if content is None or hashlib.sha256(content).hexdigest() != file.sha256:
        raise PrintError(f"The attached file {file.name} is missing or is not the one listed.")
    return Attached(
        name=embedded_name(number, file),
        content=content,
        description=file.title or file.name,
        relationship="Supplement",
    )
