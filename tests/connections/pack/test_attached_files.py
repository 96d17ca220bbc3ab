"""Files that go with a pack: listed in its content, and never more than their list."""

import json

from connections.pack.content import AttachedFile, Pack, Table, read_pack, write_pack
from connections.pack.sections.closing import embedded_name
from tests.connections.pack.demo_packs import pack_of, plain_of


def pack_with(*files: AttachedFile) -> Pack:
    return pack_of(plain_of("06"), attachments=files)


SHEET = AttachedFile("sheet.pdf", "Data sheet", "application/pdf", 123_456, 2, "a" * 64)
PHOTO = AttachedFile("photo.png", "", "image/png", 1_001, 1, "b" * 64)


def table_of(pack: Pack) -> Table:
    (table,) = (
        block
        for section in pack.technical.sections
        for block in section.blocks
        if isinstance(block, Table) and block.id == "attachments"
    )
    return table


def test_each_is_listed_with_its_size():
    rows = [[cell.text for cell in row.cells] for row in table_of(pack_with(SHEET, PHOTO)).rows]
    assert rows == [
        ["Single-line diagram", "above, under “Single-line diagram”"],
        ["Site plan", "beside this pack"],
        # 123,456 bytes, kB rounded up
        ["Data sheet: 01 sheet.pdf", "inside this PDF, 2 pages, 124 kB"],
        ["02 photo.png", "inside this PDF, 1 page, 2 kB"],
        ["Data of this pack (pack.json)", "inside this PDF"],
    ]
    assert embedded_name(1, SHEET) == "01 sheet.pdf"


def test_they_are_part_of_what_is_frozen():
    pack = pack_with(SHEET)
    assert read_pack(write_pack(pack)).technical.attachments == (SHEET,)
    assert pack.digests.technical != pack_with(PHOTO).digests.technical


def test_without_any_the_content_has_no_word_of_them():
    """So packs frozen before there were any keep their digests."""
    plain = json.loads(write_pack(pack_with()))
    assert "attachments" not in plain["technical"]


def test_a_customers_name_in_a_title_stays_out_of_the_technical_part():
    named = AttachedFile(
        "Oldfield Joinery (invented).pdf",
        "Letter of Oldfield Joinery (invented)",
        "application/pdf",
        10,
        1,
        "c" * 64,
    )
    content = write_pack(pack_with(named))
    technical = json.loads(content)["technical"]
    assert "Oldfield" not in json.dumps(technical)
    assert technical["attachments"][0]["sha256"] == "c" * 64
