"""Small builders of site files for tests, and the rulebook of the day of the examples."""

import datetime as dt
import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from connections.facts.decision import Change, Decision
from connections.facts.reading import read_site, write_site
from connections.facts.site import Site
from connections.remedies.applying import applied
from connections.rulebook.book import Rulebook
from connections.rulebook.load import load_books, resolve
from connections.rules.decide import Decided, decide
from connections.rules.writing import write_decision

ON = dt.date(2026, 11, 24)

DEMO = sorted((Path(__file__).parents[1] / "sites/desk/demonstration").glob("*.json"))

L1, L2, L3 = ["L1"], ["L2"], ["L3"]
ALL = ["L1", "L2", "L3"]


@cache
def book(area: str = "gb-12") -> Rulebook:
    """The shipped rulebook on the day of the examples."""
    return resolve(load_books(), on=ON, area=area, nation="england")


def unit(id: str = "inv-1", rated_w: int | None = 3680, **facts: Any) -> dict[str, Any]:
    """One line of units: PV on L1, fully type tested, to G98 if it is at most 16 A a phase."""
    made = {
        "id": id,
        "source": "pv",
        "rated_w": rated_w,
        "phases": L1,
        "type_tested": "full",
        "type_test_reference": "invented 0001",
        **facts,
    }
    largest = facts.get("design_w") or rated_w or 0
    micro = largest <= 3680 * len(made["phases"])  # 16 A x 230 V = 3680 W a phase
    return {"standard": "G98" if micro else "G99", **made}


def cells(id: str = "bat-1", rated_w: int | None = 3680, **facts: Any) -> dict[str, Any]:
    """One line of storage units with inverters of their own."""
    return unit(id, rated_w, **{"source": "storage", **facts})


def limit(value: int | None, basis: str = "ma_per_phase", **facts: Any) -> dict[str, Any]:
    """The `limits` of a site with a fully type-tested export limit."""
    return {
        "export": {
            "value": value,
            "basis": basis,
            "type_tested": True,
            "type_test_reference": "invented 0002",
            **facts,
        }
    }


def file(*units: dict[str, Any], phases: int = 1, **facts: Any) -> dict[str, Any]:
    """A site file as plain data. A `supply` given is added to its phases."""
    supply = {"phases": phases, **facts.pop("supply", {})}
    return {
        "format": "site/1",
        "reference": "T-1 (invented)",
        "on_date": ON.isoformat(),
        "supply": supply,
        "units": list(units) or [unit()],
        **facts,
    }


def read(content: dict[str, Any]) -> Site:
    """The site of plain data, through the door that every file comes through."""
    return read_site(json.dumps(content))


def changed(content: dict[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """Plain data as the program writes it, with the changes of a remedy."""
    return applied(json.loads(write_site(read(content))), changes)


def site(*units: dict[str, Any], phases: int = 1, **facts: Any) -> Site:
    """A site, read from its file."""
    return read(file(*units, phases=phases, **facts))


def decided(*units: dict[str, Any], phases: int = 1, **facts: Any) -> Decided:
    """What the shipped rulebook decides."""
    return decide(site(*units, phases=phases, **facts), book())


def decision(*units: dict[str, Any], phases: int = 1, **facts: Any) -> Decision:
    """The decision file of a site."""
    return write_decision(decided(*units, phases=phases, **facts))


def procedure(*units: dict[str, Any], phases: int = 1, **facts: Any) -> str:
    """The key of a site's procedure."""
    return decided(*units, phases=phases, **facts).procedure


def found(answer: Decided, id: str) -> list[tuple[str, str]]:
    """Severity and subject of every finding of one kind."""
    return [(f.severity, f.subject) for f in answer.findings if f.id == id]
