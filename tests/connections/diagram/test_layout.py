"""Nothing on a sheet lies on anything else, for the invented sites and for any others."""

import itertools
import json
from collections.abc import Iterator
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from connections.diagram.drawing import (
    SHEET_HEIGHT,
    SHEET_WIDTH,
    SMALLEST_LETTERS,
    UNITS_PER_MM,
    Box,
    Drawing,
    Line,
    Point,
)
from connections.diagram.single_line import draw
from connections.facts.reading import read_site
from connections.facts.site import Site

Segment = tuple[Point, Point]


def segments(line: Line) -> Iterator[Segment]:
    return itertools.pairwise(line.points)


def overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def enters(segment: Segment, box: Box) -> bool:
    """Whether a segment runs through the inside of a box (clipping after Liang and Barsky)."""
    (x0, y0), (x1, y1) = segment
    dx, dy = x1 - x0, y1 - y0
    low, high = 0.0, 1.0
    for p, q in ((-dx, x0 - box[0]), (dx, box[2] - x0), (-dy, y0 - box[1]), (dy, box[3] - y0)):
        if p == 0:
            if q <= 0:
                return False
        elif p < 0:
            low = max(low, q / p)
        else:
            high = min(high, q / p)
    return low < high


def cross(a: Segment, b: Segment) -> bool:
    """Whether two upright or level segments cross inside both; meeting at an end is a joint."""
    (level, upright) = (a, b) if a[0][1] == a[1][1] else (b, a)
    if level[0][1] != level[1][1] or upright[0][0] != upright[1][0]:
        return False
    x, y = upright[0][0], level[0][1]
    left, right = sorted((level[0][0], level[1][0]))
    top, bottom = sorted((upright[0][1], upright[1][1]))
    return left < x < right and top < y < bottom


def faults(drawing: Drawing) -> list[str]:
    """What lies on something else, or outside the sheet."""
    found = []
    boxes = [(f"label {label.rows[0].text!r}", label.box) for label in drawing.labels]
    shapes = [(f"symbol {s.name} of {s.subject!r}", s.box) for s in drawing.symbols]
    points = [p for line in drawing.lines for p in line.points]
    edges = [*(box for _, box in (*boxes, *shapes)), *((x, y, x, y) for x, y in points)]
    if any(b[0] < 0 or b[1] < 0 or b[2] > drawing.width or b[3] > drawing.height for b in edges):
        found.append("something stands outside the sheet")
    for (one, a), (other, b) in itertools.combinations((*boxes, *shapes), 2):
        if overlap(a, b):
            found.append(f"{one} lies on {other}")
    for line in drawing.lines:
        for segment in segments(line):
            for name, box in boxes:
                if enters(segment, box):
                    found.append(f"{line.kind} {segment} runs through {name}")
            if line.kind == "cross":
                continue
            for name, box in shapes:
                if enters(segment, box):
                    found.append(f"{line.kind} {segment} runs through {name}")
    joined = [line for line in drawing.lines if line.kind in ("power", "busbar", "control")]
    for first, second in itertools.combinations(joined, 2):
        for one_way, other_way in itertools.product(segments(first), segments(second)):
            if cross(one_way, other_way):
                found.append(f"{first.kind} {one_way} crosses {second.kind} {other_way}")
    return found


def drawn(drawing: Drawing) -> set[str]:
    """Names of all symbols outside the legend."""
    return {symbol.name for symbol in drawing.symbols if not symbol.sample}


def explained(drawing: Drawing) -> set[str]:
    """Names of all symbols that the legend shows and has an entry for."""
    shown = {symbol.name for symbol in drawing.symbols if symbol.sample}
    assert shown == {entry.symbol for entry in drawing.legend if entry.symbol}
    return shown


def untold(drawing: Drawing) -> list[str]:
    """Words on the sheet that its description lacks."""
    return [label.full for label in drawing.labels if label.full not in drawing.description]


def test_the_legend_holds_every_symbol_drawn_and_no_other(site: Site) -> None:
    for drawing in draw(site):
        assert explained(drawing) == drawn(drawing)


def test_the_description_says_all_that_stands_on_the_sheet(site: Site) -> None:
    for drawing in draw(site):
        assert untold(drawing) == []


def test_nothing_lies_on_anything_else(site: Site) -> None:
    for drawing in draw(site):
        assert faults(drawing) == []


def test_sheets_fit_a_portrait_page(site: Site) -> None:
    # 180 mm by 235 mm at four units to a millimetre; letters of 10 units are 10 / 4 mm high, and
    # a point is 25.4 / 72 mm, so the smallest print is 7.09 points.
    assert (SHEET_WIDTH / UNITS_PER_MM, SHEET_HEIGHT / UNITS_PER_MM) == (180, 235)
    assert SMALLEST_LETTERS / UNITS_PER_MM / 25.4 * 72 > 7
    for drawing in draw(site):
        assert drawing.width == SHEET_WIDTH
        assert drawing.height <= SHEET_HEIGHT
        assert all(label.size >= SMALLEST_LETTERS for label in drawing.labels)


def test_drawing_again_gives_the_same(site: Site) -> None:
    assert draw(site) == draw(site)


def test_faults_are_found(site: Site) -> None:
    """The check above can fail: everything moved onto one place is found out."""
    import msgspec

    drawing = draw(site)[0]
    moved = [msgspec.structs.replace(symbol, x=300, y=300) for symbol in drawing.symbols]
    assert faults(msgspec.structs.replace(drawing, symbols=tuple(moved)))


_names = st.text(min_size=1, max_size=60).filter(
    lambda text: not any(ord(c) < 32 or 127 <= ord(c) < 160 for c in text)
)
_maybe_number = st.none() | st.integers(0, 10**9)
_status = st.sampled_from(["existing", "proposed", "removed"])
_boards = st.sampled_from([None, "", "main", "garage", "barn", "workshop", "cellar"])
_KINDS = (
    *("MCB", "RCBO type B", "RCD", "fuse", "SPD", "isolator", "DC isolator"),
    *("battery DC isolator", "interface", "relay", "changeover", "neutral-earth relay"),
    *("earth rod", "generation meter"),
)
_kinds = st.sampled_from(_KINDS)
_words = st.none() | st.sampled_from(["by the meter", "outside wall " * 6, "x" * 90])


@st.composite
def documents(draw_from: st.DrawFn) -> dict[str, Any]:
    count = draw_from(st.integers(1, 20))
    ids = draw_from(
        st.lists(_names, min_size=count, max_size=count, unique=True)
        | st.just([f"inv-{i + 1}" for i in range(count)])
    )
    phases = draw_from(st.sampled_from([1, 2, 3]))
    units = [
        {
            "id": name,
            "source": draw_from(
                st.sampled_from(
                    ["pv", "storage", "pv+storage", "wind", "hydro", "chp", "vehicle", "other"]
                )
            ),
            "rated_w": draw_from(_maybe_number),
            "quantity": draw_from(_maybe_number),
            "phases": draw_from(st.sampled_from([["L1"], ["L2", "L1"], ["L1", "L2", "L3"]])),
            "status": draw_from(_status),
            "kind": draw_from(
                st.sampled_from(["inverter", "inverter", "synchronous", "asynchronous", None])
            ),
            "type_tested": draw_from(st.sampled_from(["full", "part", "no", None])),
            "standard": draw_from(st.sampled_from(["G98", "G99", "G83", None])),
            "can_island": draw_from(st.booleans() | st.none()),
            "operating_mode": draw_from(
                st.sampled_from(["long-term-parallel", "short-term-parallel", "switched", None])
            ),
            "feeds_from": draw_from(_boards),
            "maker": draw_from(_words),
            "model": draw_from(_words),
            "type_test_reference": draw_from(_words),
            "panel_electronics": draw_from(
                st.sampled_from([None, "none", "optimisers", "micro-inverters"])
            ),
        }
        for name in ids
    ]
    some_id = st.sampled_from([*ids, "nobody"])
    arrays = st.lists(
        st.builds(
            lambda i, w, s, a: {"unit_id": i, "peak_w": w, "status": s, "azimuth_deg": a},
            some_id,
            _maybe_number,
            _status,
            st.none() | st.integers(0, 359),
        ),
        max_size=12,
    )
    storage = st.lists(
        st.builds(
            lambda i, w, s, t: {"unit_id": i, "usable_wh": w, "status": s, "tap": t},
            some_id,
            _maybe_number,
            _status,
            st.sampled_from([None, None, "service-connectors", "consumer-unit"]),
        ),
        max_size=6,
    )
    serves = st.sampled_from([*ids, "main", "garage", "nobody", None])
    protection = st.lists(
        st.builds(
            lambda k, s, r, p, lock: {
                "kind": k,
                "serves": s,
                "rating_a": r,
                "place": p,
                "lockable": lock,
            },
            _kinds,
            serves,
            _maybe_number,
            _words,
            st.none() | st.booleans(),
        ),
        max_size=15,
    )
    ends = st.sampled_from(["main", "supply", "garage", "barn", "workshop", "backup", *ids])
    cables = st.lists(
        st.builds(lambda a, b: {"from": a, "to": b, "unit_id": b}, ends, ends), max_size=6
    )
    limit = st.builds(
        lambda v, b, p: {"value": v, "basis": b, "measured_at": p},
        _maybe_number,
        st.sampled_from(["ma_per_phase", "w_total", "va_total"]),
        st.sampled_from([None, "supply", "garage", *ids]),
    )
    clamps = st.lists(
        st.builds(
            lambda n, p, s, d, link: {
                "id": n,
                "place": p,
                "serves": s,
                "phase": "L1",
                "direction": d,
                "link": link,
            },
            _names,
            st.sampled_from(["grid", "pv", "storage", "load", None]),
            st.sampled_from(["export-limit", "import-limit", *ids, None]),
            st.sampled_from(["towards-supply", "towards-site", None]),
            st.sampled_from(["wired", "radio", None]),
        ),
        max_size=5,
        unique_by=lambda clamp: clamp["id"],
    )
    numbers = st.lists(
        st.builds(
            lambda use, value: {"use": use, "scheme": "gb13", "value": value},
            st.sampled_from(["import", "export"]),
            st.sampled_from(["99 0000 0010 031", "99 0000 0010 040"]),
        ),
        max_size=2,
        unique_by=lambda number: number["value"],
    )
    return {
        "premises": {
            "address_lines": draw_from(st.lists(_names, max_size=4)),
            "metering": draw_from(_words),
            "supply_numbers": draw_from(numbers),
        },
        "clamps": draw_from(clamps),
        "boards": draw_from(st.sampled_from([[], [{"id": "main", "incoming_a": 100}]])),
        "format": "site/1",
        "reference": draw_from(_names.filter(str.strip)),
        "on_date": "2026-11-24",
        "supply": {
            "phases": phases,
            "voltage_optimiser": draw_from(st.booleans()),
            "earthing": draw_from(st.sampled_from(["TT", "TN-S", None])),
        },
        "units": units,
        "arrays": draw_from(arrays),
        "storage": draw_from(storage),
        "protection": draw_from(protection),
        "cables": draw_from(cables),
        "limits": {
            "export": draw_from(st.none() | limit),
            "import": draw_from(st.none() | limit),
        },
    }


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(documents())
def test_any_site_is_drawn_without_overlaps(document: dict[str, Any]) -> None:
    site = read_site(json.dumps(document))
    drawings = draw(site)
    for drawing in drawings:
        assert faults(drawing) == []
        assert drawing.height <= SHEET_HEIGHT
        assert explained(drawing) == drawn(drawing)
        assert untold(drawing) == []
    unit_labels = [label.subject for d in drawings for label in d.labels if label.role == "unit"]
    assert sorted(unit_labels) == sorted(unit.id for unit in site.units)
