"""Packs of the demo's site files, changed as a test wants."""

import datetime as dt
import json
from pathlib import Path
from typing import Any

from connections.assessing import Assessor
from connections.pack.build import build_annex, build_notice, build_pack
from connections.pack.content import Annex, Kind, Pack

DEMO = Path(__file__).resolve().parents[3] / "sites" / "desk" / "demonstration"
ON = dt.date(2026, 11, 25)
ASSESSOR = Assessor()


def plain_of(name: str) -> dict[str, Any]:
    """The demo site file whose name begins so."""
    (path,) = DEMO.glob(f"{name}-*.json")
    plain: dict[str, Any] = json.loads(path.read_text())
    return plain


def pack_of(plain: dict[str, Any], **more: Any) -> Pack:
    """A pack of a site file, by the real rules."""
    site = ASSESSOR.site(json.dumps(plain))
    return build_pack(
        site,
        ASSESSOR.decide(site).decision,
        ASSESSOR.rulebook(site),
        reference="EX-1",
        prepared_on=ON,
        salt="0123456789abcdef",
        **more,
    )


def annex_of(plain: dict[str, Any]) -> Annex:
    """The annex of that pack."""
    site = ASSESSOR.site(json.dumps(plain))
    decision, book = ASSESSOR.decide(site).decision, ASSESSOR.rulebook(site)
    return build_annex(pack_of(plain), site, decision, book, salt="0123456789abcdef")


def notice_of(plain: dict[str, Any], kind: Kind = "notification") -> Pack | None:
    """The notice of demand beside a pack of that kind."""
    site = ASSESSOR.site(json.dumps(plain))
    decision, book = ASSESSOR.decide(site).decision, ASSESSOR.rulebook(site)
    pack = pack_of(plain, kind=kind)
    return build_notice(pack, site, decision, book, salt="0123456789abcdef", kind=kind)
