"""Files to attach, findings as seen, and sites for the tests of services. All invented."""

import io
import struct
import zlib
from typing import Any

import pikepdf
from PIL import Image

from sites.cases.models import Case
from sites.deciding.reading.deciding import decide_case
from sites.house.models import Event
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import draft_of
from sites.packs.writing.issuing import PreviewSeen
from sites.premises.models import Unit
from sites.review.writing.verdicts import FindingSeen
from tests.sites.making import home, make_premises


def make_pdf(*, pages: int = 1, **saving: Any) -> bytes:
    """A PDF of empty pages."""
    return pdf_of(pages=pages, **saving)


def pdf_of(change: Any = None, *, pages: int = 1, **saving: Any) -> bytes:
    """A PDF of empty pages; `change` does something to it before it is saved."""
    pdf = pikepdf.new()
    for _ in range(pages):
        pdf.add_blank_page()
    if change is not None:
        change(pdf)
    out = io.BytesIO()
    pdf.save(out, **saving)
    return out.getvalue()


def make_picture(kind: str = "PNG", *, size: tuple[int, int] = (60, 40)) -> bytes:
    """A picture of one colour."""
    out = io.BytesIO()
    Image.new("RGB", size, "teal").save(out, kind)
    return out.getvalue()


def png_that_says(width: int, height: int) -> bytes:
    """A PNG of black and white points whose head claims a size that its few bytes don't hold."""

    def chunk(name: bytes, content: bytes) -> bytes:
        check = zlib.crc32(name + content)
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes(width // 8 + 2) * 20)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def pdf_that_unpacks_to(size_bytes: int) -> bytes:
    """A small PDF one of whose objects is packed among so many bytes of blanks."""
    packed = zlib.compress(b"5 0 " + b" " * size_bytes + b"(x)", 9)
    objects = [
        b"<</Type/Catalog/Pages 2 0 R/X 5 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 9 9]>>",
        b"<</Type/ObjStm/N 1/First 4/Filter/FlateDecode/Length %d>>stream\n%b\nendstream"
        % (len(packed), packed),
    ]
    out = b"%PDF-1.5\n"
    places = []
    for number, content in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj%b\nendobj\n" % (number, content)
    rows = [
        (0, 0, 65535),
        *((1, place, 0) for place in places),
        (2, 4, 0),  # object 5 stands in object 4, the first there
        (1, len(out), 0),
    ]
    index = b"".join(struct.pack(">BIH", *row) for row in rows)
    head = b"<</Type/XRef/Size 7/W[1 4 2]/Root 1 0 R/Length %d>>" % len(index)
    start = len(out)
    return out + b"6 0 obj%bstream\n%b\nendstream endobj\nstartxref\n%d\n%%%%EOF" % (
        head,
        index,
        start,
    )


def seen_of(case: Case, finding_id: str) -> FindingSeen:
    """A finding as the page would show it now."""
    decision = decide_case(case).decision
    assert decision is not None
    (found,) = (each for each in decision.findings if each.id == finding_id)
    return FindingSeen(found.id, found.subject, found.basis)


def preview_of(case: Case) -> PreviewSeen:
    """What an engineer sees before issuing."""
    case.application.refresh_from_db()
    draft = draft_of(case.application)
    return PreviewSeen(case.application.version, draft.revision, draft.content)


def capped(**changes: Any) -> Case:
    """7.2 kW where the operator has capped export at 5 kW: a finding that stops."""
    cap = {
        "on": "export",
        "value": 5000,
        "basis": "w_total",
        "from_operator_reference": "INV-OP-1",
    }
    return make_premises(caps=[cap], **changes)


def small(**unit: Any) -> Case:
    """One inverter of 3.6 kW: 15.7 A, connect and notify, so the pack tells of work done."""
    units = [{**home()["units"][0], **unit}]
    return make_premises(units=units, storage=[], planned_on=None)


def commission(case: Case, **fields: Any) -> None:
    """Enter on the rows what is known once the work is done, and have the case commissioned."""
    Unit.objects.filter(design=case.design).update(**fields)
    Case.objects.filter(pk=case.pk).update(state="commissioned", way="notification")


def acts(case: Case) -> list[str]:
    """What was logged of the application, oldest first."""
    found = Event.objects.filter(subject_key=case.application.key).order_by("pk")
    return list(found.values_list("act", flat=True))


def columns_of(pack: FrozenPack) -> dict[str, Any]:
    """Every column of a pack's row, as the database holds it."""
    return dict(FrozenPack.objects.filter(pk=pack.pk).values().get())
