"""One function from a frozen pack to its PDF."""

from connections.documents.html import pack_html
from connections.documents.printing import Attached, print_html
from connections.pack.content import Pack, digest_faults, write_pack
from connections.pack.faults import PackError

DATA_FILE = "pack.json"


def render(pack: Pack) -> bytes:
    """The PDF of a frozen pack: PDF/A-3a, tagged, with the pack's own content as `pack.json`.

    The same content on the same renderer (WeasyPrint, fonts, templates) gives the same bytes. Costs
    1 to 3 s and blocks; call it in a worker process.

    Raises PackError if the digests don't fit the content, PrintError if it can't be printed.
    """
    if wrong := digest_faults(pack):
        raise PackError(f"digests.{wrong[0]}", "the digest does not fit the content")
    data = Attached(
        name=DATA_FILE,
        content=write_pack(pack),
        description="The content of this pack as data",
        relationship="Data",
    )
    return print_html(pack_html(pack), (data,), pack.prepared_on)
