"""Measures of `manage.py bench`: one function a figure, each against its aim."""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import msgspec

from sites.desk.demonstration import SITES

ROOT = Path(__file__).resolve().parents[3]


class Figure(msgspec.Struct, frozen=True):
    """One figure: name, value, unit, aim, and whether more or less is better."""

    name: str
    value: float
    unit: str
    aim: float
    at_most: bool
    note: str = ""

    @property
    def met(self) -> bool:
        """Whether the aim is met."""
        return self.value <= self.aim if self.at_most else self.value >= self.aim

    @property
    def ratio(self) -> float:
        """The value as a part of its aim."""
        return self.value / self.aim


def four_units() -> bytes:
    """A site of four units on three phases with an export limit, for timing the decision."""
    unit = {"type_tested": "full", "standard": "G98", "type_test_reference": "invented"}
    return msgspec.json.encode(
        {
            "format": "site/1",
            "reference": "four units (invented)",
            "on_date": "2026-11-24",
            "supply": {"phases": 3, "cutout_a": 100, "earthing": "TN-S", "looped": False},
            "units": [
                {"id": "pv-1", "source": "pv", "rated_w": 3680, "phases": ["L1"], **unit},
                {"id": "bat-1", "source": "storage", "rated_w": 3600, "phases": ["L1"], **unit},
                {"id": "pv-2", "source": "pv", "rated_w": 2000, "phases": ["L2"], **unit},
                {"id": "pv-3", "source": "pv", "rated_w": 3000, "phases": ["L3"], **unit},
            ],
            "limits": {
                "export": {
                    "value": 16000,
                    "basis": "ma_per_phase",
                    "type_tested": True,
                    "type_test_reference": "invented",
                }
            },
        }
    )


def median_s(run: Callable[[], object], times: int) -> float:
    """The median duration of `run` in seconds, after a tenth of the runs to warm up."""
    for _ in range(max(1, times // 10)):
        run()
    spent = []
    for _ in range(times):
        spent.append(_seconds(run))
    return statistics.median(spent)


def deciding() -> Iterator[Figure]:
    """Deciding one site of four units, without sentences."""
    from connections.assessing import Assessor
    from connections.rules.decide import decide

    assessor = Assessor()
    site = assessor.site(four_units())
    book = assessor.rulebook(site)
    spent = median_s(lambda: decide(site, book), 3000)
    yield Figure("deciding a site of 4 units, median", spent * 1e6, "us", 200, True)


def searching() -> Iterator[Figure]:
    """The search for remedies of a site of four units that is out of every limit."""
    from connections.assessing import Assessor
    from connections.remedies.search import search
    from connections.rules.decide import decide

    assessor = Assessor()
    content = msgspec.json.decode(four_units())
    for unit, rated_w in zip(content["units"], (6000, 5000, 4600, 3680), strict=True):
        unit |= {"rated_w": rated_w, "standard": "G99", "phases": ["L1"]}
    del content["limits"]
    site = assessor.site(msgspec.json.encode(content))
    book = assessor.rulebook(site)
    decided = decide(site, book)
    found = search(site, decided, book)
    spent = median_s(lambda: search(site, decided, book), 20)
    note = f"{len(found.remedies)} remedies, {found.asked} questions to the rules"
    yield Figure("remedies of a site of 4 units", spent * 1000, "ms", 500, True, note)


def checking() -> Iterator[Figure]:
    """All electrical checks of a site of four units with cables, loads and a schedule."""
    from connections.assessing import Assessor
    from connections.rules.decide import decide
    from connections.rules.engineering import checks_of

    assessor = Assessor()
    site = assessor.site(with_runs(four_units()))
    decided = decide(site, assessor.rulebook(site))
    spent = median_s(lambda: checks_of(decided), 300)
    note = f"{len(checks_of(decided))} checks"
    yield Figure("all electrical checks of a site of 4 units", spent * 1000, "ms", 2, True, note)


def with_runs(site: bytes) -> bytes:
    """A site with everything that its checks ask for: cables, loop, demand, devices."""
    content = msgspec.json.decode(site)
    content["supply"] |= {"loop_impedance_uohm": 170_000, "prospective_fault_a": 1400}
    content["network"] = {"assumed_voltage_mv": 241_000}
    content["loads"] = {"assessed_demand_va": 22_000, "items": []}
    ids = [unit["id"] for unit in content["units"]]
    content["cables"] = [
        {
            "from": "consumer unit",
            "to": id,
            "unit_id": id,
            "length_mm": 12_000,
            "csa_mm2": "6",
            "material": "copper",
            "insulation": "thermoplastic 70 C",
            "method": "C",
        }
        for id in ids
    ]
    content["protection"] = [
        {"kind": kind, "serves": id, "rating_a": 20}
        for id in ids
        for kind in ("circuit-breaker", "isolator")
    ]
    return msgspec.json.encode(content)


def reading_and_writing() -> Iterator[Figure]:
    """Site files in, decision files out, as `assess --lines` does it."""
    from connections.assessing import Assessor
    from connections.facts.canonical import canonical

    assessor = Assessor()
    line = four_units()

    def written() -> bytes:
        return canonical(assessor.decide(assessor.site(line), checks=False).decision)

    spent = median_s(written, 3000)
    yield Figure("assess --lines, sites a second on one core", 1 / spent, "/s", 2000, False)


def importing() -> Iterator[Figure]:
    """Importing the pure rooms in a new process, less starting Python itself."""
    rooms = (
        "facts.reading",
        "electrical.balance",
        "rules.writing",
        "remedies.search",
        "diagram.single_line",
        "pack.build",
    )
    code = (
        "import time; start = time.perf_counter(); "
        + "; ".join(f"import connections.{room}" for room in rooms)
        + "; print(time.perf_counter() - start)"
    )
    yield Figure("importing the pure rooms", _printed_s(code) * 1000, "ms", 150, True)


def loading() -> Iterator[Figure]:
    """Reading the shipped rulebook in a new process, less starting Python itself."""
    code = (
        "import time; start = time.perf_counter(); "
        "from connections.rulebook.load import load_books; load_books(); "
        "print(time.perf_counter() - start)"
    )
    yield Figure("reading the shipped rulebook", _printed_s(code) * 1000, "ms", 1000, True)


def walking() -> Iterator[Figure]:
    """Walking the procedure table of one stretch of days for gaps, as when its file is read."""
    import datetime as dt

    from connections.rulebook.checking.table import check_table
    from connections.rulebook.load import load_books, resolve

    book = resolve(load_books(), on=dt.date(2026, 11, 24))
    spent = median_s(lambda: check_table(book), 50)
    yield Figure("walking a procedure table for gaps", spent * 1000, "ms", 10, True)


def printing() -> Iterator[Figure]:
    """Printing a pack, beside the library's own print of the same HTML with default settings."""
    import datetime as dt

    from weasyprint import HTML

    from connections.assessing import Assessor
    from connections.documents.fetching import SCHEME
    from connections.documents.html import pack_html
    from connections.documents.printing import _house_style
    from connections.documents.render import render
    from connections.pack.build import build_pack

    assessor = Assessor()
    site = assessor.site((SITES / "11-twenty-units.json").read_bytes())
    assessed = assessor.decide(site)
    pack = build_pack(
        site,
        assessed.decision,
        assessed.book,
        reference=site.reference,
        prepared_on=dt.date(2026, 11, 24),
        salt="measured, never issued",
    )
    html = pack_html(pack)
    styles, fonts, fetcher = _house_style()

    def plain() -> object:
        return HTML(string=html, base_url=f"{SCHEME}:", url_fetcher=fetcher).write_pdf(
            stylesheets=styles, font_config=fonts, pdf_variant="pdf/a-3a"
        )

    render(pack), plain()
    ours, theirs = [], []
    for _ in range(5):  # in turns, so that both meet the same load of the machine
        ours.append(_seconds(lambda: render(pack)))
        theirs.append(_seconds(plain))
    cells = html.count("<td") + html.count("<th")
    spent, beside = statistics.median(ours), statistics.median(theirs)
    note = f"{spent:.2f} s against {beside:.2f} s, {cells} table cells"
    yield Figure("printing a pack, times a plain print", spent / beside, "", 1.1, True, note)


def _printed_s(code: str) -> float:
    """The median of the seconds that a new process prints; bytecode is there, as it is after the
    first start of an installation."""
    with tempfile.TemporaryDirectory() as kept:
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": kept}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        run = partial(
            subprocess.run, [sys.executable, "-c", code], cwd=ROOT, env=environment,
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        run()
        return statistics.median(float(run().stdout) for _ in range(7))


def _seconds(run: Callable[[], object]) -> float:
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


MEASURES: tuple[Callable[[], Iterator[Figure]], ...] = (
    deciding,
    searching,
    checking,
    reading_and_writing,
    importing,
    loading,
    walking,
    printing,
)


def table(figures: list[Figure]) -> str:
    """The figures as aligned text."""
    rows = [("what", "measured", "aim", "part of aim", "")]
    for figure in figures:
        sign = "at most" if figure.at_most else "at least"
        rows.append(
            (
                figure.name + (f" ({figure.note})" if figure.note else ""),
                f"{figure.value:,.2f} {figure.unit}".strip(),
                f"{sign} {figure.aim:,g} {figure.unit}".strip(),
                f"{figure.ratio:.2f}",
                "met" if figure.met else "NOT MET",
            )
        )
    widths = [max(len(row[i]) for row in rows) for i in range(5)]
    return "\n".join(
        "  ".join(
            cell.ljust(width) if i in (0, 4) else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def as_json(figures: list[Figure]) -> list[dict[str, object]]:
    """The figures for machines."""
    return [
        {
            "name": f.name,
            "value": round(f.value, 3),
            "unit": f.unit,
            "aim": f.aim,
            "at_most": f.at_most,
            "met": f.met,
            "note": f.note,
        }
        for f in figures
    ]
