"""The title block of a pack's diagram: personal values come from the personal part alone."""

import msgspec

from connections.documents.diagrams import heading_of_pack, pack_drawings
from connections.facts.supply_number import read_core
from connections.pack.content import without_personal
from tests.connections.pack.cases import SUPPLY_NUMBER, pack_of, plain_file

NAMING = ("Example Lane", "Exampleton", "EX1 1AA", str(read_core(SUPPLY_NUMBER)))


def test_address_and_supply_number_leave_with_the_personal_part() -> None:
    pack = pack_of(plain_file())
    whole = " ".join(x.full for x in pack_drawings(pack)[0].labels)
    assert all(value in whole for value in NAMING)
    own = "" if pack.reference == pack.technical.site.reference else f"{pack.reference}, "
    assert heading_of_pack(pack).revision == f"{own}revision {pack.revision}"
    erased = without_personal(pack)
    left = msgspec.json.encode((pack_drawings(erased), erased.technical)).decode()
    assert not any(value in left for value in NAMING)
    # Drawn by and checked by are signed on paper; address and number have gone.
    blank = [x for x in pack_drawings(erased)[0].lines if x.kind == "blank"]
    assert len(blank) == 4
