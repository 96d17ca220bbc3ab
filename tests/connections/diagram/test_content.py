"""What is drawn, and behind what: followed along the lines, from the symbols upwards."""

import itertools
from collections.abc import Callable
from typing import Any

import pytest
from msgspec import structs

from connections.diagram.drawing import Drawing, PlacedSymbol
from connections.diagram.heading import Heading
from connections.diagram.single_line import draw
from connections.facts.site import Limit, Limits, Site

Making = Callable[..., Site]
AUnit = Callable[..., dict[str, Any]]
Cases = dict[str, Callable[[], Site]]


def path_up(drawing: Drawing, symbol: PlacedSymbol) -> list[str]:
    """Names of the symbols from one upwards along its line, ending in "busbar" or "supply"."""
    names = [symbol.name]
    at = symbol
    while True:
        entry = (at.x + at.width // 2, at.y)
        lines = [
            line for line in drawing.lines if line.kind == "power" and line.points[-1] == entry
        ]
        assert len(lines) <= 1, "two lines come to one symbol"
        x, y = lines[0].points[0] if lines else entry
        above = [s for s in drawing.symbols if s.x <= x <= s.x + s.width and s.y + s.height == y]
        if not lines and not above:
            return names
        if not above:
            bars = [line for line in drawing.lines if line.kind == "busbar"]
            on = [b for b in bars if b.points[0][1] == y and b.points[0][0] <= x <= b.points[1][0]]
            assert on, f"the line above {at.name} ends in nothing"
            return [*names, "busbar"]
        at = above[0]
        names.append(at.name)


def only(drawing: Drawing, name: str, subject: str = "") -> PlacedSymbol:
    found = [
        s
        for s in drawing.symbols
        if s.name == name and not s.sample and (not subject or s.subject == subject)
    ]
    assert len(found) == 1, f"{name} of {subject!r}: {len(found)}"
    return found[0]


def said(drawing: Drawing, subject: str) -> str:
    """Every label of a unit or board, in one text."""
    return " | ".join(label.full for label in drawing.labels if label.subject == subject)


def test_one_unit_from_its_panels_to_the_board(cases: Cases) -> None:
    (drawing,) = draw(cases["one PV unit"]())
    assert path_up(drawing, only(drawing, "pv", "inv-1")) == [
        "pv",
        "inverter-tested",
        "device-not-known",
        "breaker",
        "busbar",
    ]
    words = said(drawing, "inv-1").replace("\u00a0", " ")
    for part in ("inv-1", "3.68 kW", "L1", "fully type tested to G98", "proposed", "MCB 20 A"):
        assert part in words
    for missing in ("AC isolator: to be", "DC isolator: to be", "register reference not"):
        assert missing in words
    assert "4.2 kWp, 10 panels | faces south (180°), tilt 35°" in words


def test_the_supply_comes_down_to_the_main_switch(cases: Cases) -> None:
    (drawing,) = draw(cases["one PV unit"]())
    assert path_up(drawing, only(drawing, "main-switch")) == [
        "main-switch",
        "meter",
        "cut-out",
        "strokes-1",
        "supply",
    ]
    boundary = [x for x in drawing.lines if x.kind == "boundary" and not x.sample]
    assert len(boundary) == 1
    meter, switch = only(drawing, "meter"), only(drawing, "main-switch")
    assert meter.y + meter.height < boundary[0].points[0][1] < switch.y


@pytest.mark.parametrize(
    ("phases", "strokes"), [(1, "strokes-1"), (2, "strokes-2"), (3, "strokes-3")]
)
def test_a_stroke_for_each_phase(making: Making, a_unit: AUnit, phases: int, strokes: str) -> None:
    (drawing,) = draw(making([a_unit("a")], phases=phases))
    assert [s.name for s in drawing.symbols if s.name.startswith("strokes") and not s.sample] == [
        strokes
    ]


def test_storage_hangs_behind_its_own_inverter(cases: Cases) -> None:
    (drawing,) = draw(cases["storage beside micro-inverters"]())
    cells = only(drawing, "cells", "batt-1")
    assert path_up(drawing, cells) == [
        "cells",
        "inverter-tested",
        "device-not-known",
        "rcd",
        "breaker",
        "busbar",
    ]
    assert not [s for s in drawing.symbols if s.name == "cells" and s.subject == "micro-1"]
    words = said(drawing, "micro-1").replace("\u00a0", " ")
    assert "12 × 0.3 kW = 3.6 kW" in words
    assert "RCBO 20 A, type A" in words


def test_panels_and_cells_share_one_inverter(cases: Cases) -> None:
    (drawing,) = draw(cases["hybrid inverter that can island"]())
    sources = [s for s in drawing.symbols if s.subject == "hyb-1" and s.name in ("pv", "cells")]
    assert [s.name for s in sources] == ["pv", "pv", "cells"]
    # The one DC isolator of the facts goes to the first panels.
    above = ["inverter-tested", "device-not-known", "changeover", "breaker", "busbar"]
    assert path_up(drawing, sources[0]) == ["pv", "dc-isolator", *above]
    for source in sources[1:]:
        assert path_up(drawing, source) == [source.name, *above]
    words = said(drawing, "hyb-1").replace("\u00a0", " ")
    for part in (
        "cable 6 mm², copper, 12.5 m",
        "DC isolator 25 A",
        "DC isolator: to be confirmed on site",
    ):
        assert part in words


def test_an_island_has_its_parts_in_place(making: Making, a_unit: AUnit) -> None:
    """Board and RCD above the line that leaves below the changeover; relay and earth below it."""
    kinds = ("changeover", "RCD", "neutral-earth bond relay", "earth electrode", "isolator")
    (drawing,) = draw(
        making(
            [a_unit("hyb-1", "pv+storage", can_island=True)],
            protection=[{"kind": kind, "serves": "hyb-1", "rating_a": 40} for kind in kinds],
            cables=[{"from": "hyb-1", "to": "kitchen board"}],
        )
    )
    chain = ["relay", "earth-terminal", "earth"]
    earthing = sorted((only(drawing, name) for name in chain), key=lambda symbol: symbol.y)
    assert [symbol.name for symbol in earthing] == chain
    changeover, isolator = only(drawing, "changeover"), only(drawing, "isolator")
    relay, residual = only(drawing, "relay"), only(drawing, "rcd")
    joint = [
        line
        for line in drawing.lines
        if line.kind == "power"
        and line.points[0][0] == changeover.x + changeover.width // 2
        and line.points[-1][0] == relay.x + relay.width // 2
    ]
    ((_, y), _) = joint[0].points
    assert changeover.y + changeover.height <= y <= isolator.y
    assert residual.y + residual.height < y < relay.y
    busbar = [x for x in drawing.lines if x.kind == "busbar" and x.subject == "hyb-1"]
    assert len(busbar) == 1
    assert busbar[0].points[0][1] < residual.y
    words = said(drawing, "hyb-1")
    for part in ("Backed-up board: kitchen board", "backed-up loads", "main earth terminal"):
        assert part in words
    assert "not stated" not in words


def test_what_an_island_lacks_is_said(cases: Cases, making: Making, a_unit: AUnit) -> None:
    words = said(draw(cases["hybrid inverter that can island"]())[0], "hyb-1")
    for part in (
        "changeover switch not stated",
        "Backed-up board, not stated",
        "RCD of the island not stated",
        "neutral-earth relay not stated",
        "earth electrode not stated",
    ):
        assert part in words
    tt = draw(making([a_unit("a", can_island=True)], supply={"earthing": "TT"}))[0]
    assert "earth electrode of the TT supply" in said(tt, "a")


def test_a_changeover_at_the_supply_parts_the_whole_site(making: Making, a_unit: AUnit) -> None:
    (drawing,) = draw(
        making(
            [a_unit("hyb-1", "pv+storage", can_island=True)],
            protection=[{"kind": "island changeover", "serves": "meter tails", "rating_a": 100}],
        )
    )
    switch = only(drawing, "changeover")
    assert switch.subject == ""
    assert path_up(drawing, only(drawing, "main-switch"))[1] == "changeover"
    assert not [x for x in drawing.lines if x.kind == "busbar" and x.subject == "hyb-1"]
    assert only(drawing, "relay", "hyb-1")


def test_isolators_are_drawn_as_stated(making: Making, a_unit: AUnit) -> None:
    """A padlock where the facts say so; a plain symbol where they say nothing or no."""
    (drawing,) = draw(
        making(
            [a_unit(name) for name in ("yes", "no", "unsaid", "none")],
            protection=[
                {"kind": "isolator", "serves": "yes", "lockable": True, "place": "by the meter"},
                {"kind": "isolator", "serves": "no", "lockable": False},
                {"kind": "isolator", "serves": "unsaid"},
            ],
        )
    )
    assert only(drawing, "isolator-locked", "yes")
    assert only(drawing, "isolator", "no")
    assert only(drawing, "isolator", "unsaid")
    assert "by the meter, can be locked off" in said(drawing, "yes")
    assert "cannot be locked off" in said(drawing, "no")
    assert "lock" not in said(drawing, "unsaid")
    assert "AC isolator: to be confirmed on site" in said(drawing, "none")
    assert not [s for s in drawing.symbols if s.name.startswith("isolator") and s.subject == "none"]


def test_clamps_stand_where_they_measure_with_arrow_and_link(making: Making, a_unit: AUnit) -> None:
    def clamp(name: str, **facts: str) -> dict[str, str]:
        return {"id": name, "direction": "towards-supply", "link": "wired", **facts}

    (drawing,) = draw(
        making(
            [a_unit("pv"), a_unit("bat", "storage")],
            phases=3,
            limits={"export": {"value": 16000, "basis": "ma_per_phase"}},
            clamps=[
                *(
                    clamp(f"g{n}", place="grid", serves="export-limit", phase=f"L{n}")
                    for n in (1, 2, 3)
                ),
                clamp("b", place="grid", serves="bat", phase="L1", link="radio"),
                clamp("p", place="pv", serves="bat", phase="L1", direction="towards-site"),
                clamp("l", place="load", serves="bat", phase="L2"),
            ],
        )
    )
    words = " | ".join(label.full for label in drawing.labels)
    assert "CT g1, g2, g3 on L1 L2 L3, arrow to the supply, wired to export limit" in words
    assert "CT b on L1, arrow to the supply, by radio to bat" in words
    assert "CT p on L1, arrow to the site, wired to bat" in said(drawing, "pv")
    assert "reads CT b, p, l" in said(drawing, "bat")
    rings = [s for s in drawing.symbols if s.name == "ct" and not s.sample]
    # Two at the supply, one in the circuit of the panels, one on the loads.
    assert [s.subject for s in rings] == ["", "", "", "pv"]
    arrows = [s.name for s in drawing.symbols if s.name.startswith("towards") and not s.sample]
    assert sorted(arrows) == ["towards-site", "towards-supply", "towards-supply", "towards-supply"]
    meter, switch = only(drawing, "meter"), only(drawing, "main-switch")
    assert [meter.y < ring.y < switch.y for ring in rings] == [True, True, False, False]


def test_every_import_number_has_a_meter(making: Making, a_unit: AUnit) -> None:
    numbers = [
        {"use": "import", "scheme": "gb13", "value": value}
        for value in ("99 0000 0010 031", "99 0000 0010 040")
    ]
    (drawing,) = draw(making([a_unit("a")], premises={"supply_numbers": numbers}))
    meters = [s for s in drawing.symbols if s.name == "meter" and not s.sample]
    assert len(meters) == 2
    assert "another import supply number" in " | ".join(x.full for x in drawing.labels)
    assert meters[0].y == meters[1].y or abs(meters[0].y - meters[1].y) < meters[0].height


def test_storage_on_the_tails_is_not_fed_from_the_main_board(making: Making, a_unit: AUnit) -> None:
    drawing, second = draw(
        making(
            [a_unit("pv"), a_unit("bat", "storage", feeds_from="store")],
            storage=[{"unit_id": "bat", "usable_wh": 5000, "tap": "service-connectors"}],
        )
    )
    assert "fed from the meter tails at a connector block" in said(second, "store")
    riser = [x for x in drawing.lines if x.kind == "power" and x.subject == "\0tails"]
    assert len(riser) == 1
    meter, switch = only(drawing, "meter"), only(drawing, "main-switch")
    assert meter.y < riser[0].points[0][1] < switch.y


def test_a_board_that_is_not_known_is_the_main_one_and_a_note_says_so(
    making: Making, a_unit: AUnit
) -> None:
    """A cable tells the board of a unit whose own box is empty; beside other boards a note asks."""
    units = [a_unit(name, feeds_from=None) for name in ("by-cable", "lost")]
    asks = "Board to be confirmed on site, drawn at the main board: lost."

    def of(board: str) -> Drawing:
        *_, drawing = draw(making(units, cables=[{"from": board, "to": "by-cable"}]))
        assert ("arage board" in drawing.description) == (board == "garage board")
        return drawing

    assert asks not in of("consumer unit").description
    assert asks in of("garage board").description


def test_the_title_block_holds_what_is_known_and_lines_to_write_on(
    making: Making, a_unit: AUnit
) -> None:
    site = making(
        [a_unit("a")],
        premises={
            "address_lines": ["1 Invented Row", "Fennhaven"],
            "postcode": "ZZ1 1ZZ",
            "supply_numbers": [{"use": "import", "scheme": "gb13", "value": "9900000010031"}],
        },
    )
    (drawing,) = draw(site)
    words = [label.full for label in drawing.labels if label.role == "title"]
    assert "1 Invented Row, Fennhaven, ZZ1 1ZZ" in words
    assert "99 0000 0010 031" in words
    # Drawn by, checked by, date, revision.
    assert len([x for x in drawing.lines if x.kind == "blank"]) == 4
    (erased,) = draw(site, Heading(drawn="D", checked="C", date="1 June 2026", revision="R, 2"))
    assert "Fennhaven" not in " ".join(label.full for label in erased.labels)
    assert "Fennhaven" not in erased.description
    # Address and MPAN.
    assert len([x for x in erased.lines if x.kind == "blank"]) == 2


def test_interface_protection_inside_and_separate(cases: Cases) -> None:
    (drawing,) = draw(cases["three phases out of balance"]())
    assert path_up(drawing, only(drawing, "cells", "store"))[:4] == [
        "cells",
        "inverter",
        "interface",
        "device-not-known",
    ]
    assert "interface protection, sheet 1" in said(drawing, "store")
    assert "interface protection: to be confirmed on site" in said(drawing, "wind")
    assert only(drawing, "inverter-tested", "east")
    assert not [s for s in drawing.symbols if s.name == "interface" and s.subject == "east"]
    assert path_up(drawing, only(drawing, "machine", "wind"))[1] == "inverter"


def frames(drawing: Drawing, subject: str) -> list[tuple[int, int, int, int]]:
    found = [line for line in drawing.lines if line.kind == "frame" and line.subject == subject]
    return [
        (
            min(x for x, _ in line.points),
            min(y for _, y in line.points),
            max(x for x, _ in line.points),
            max(y for _, y in line.points),
        )
        for line in found
    ]


def inside(symbol: PlacedSymbol, frame: tuple[int, int, int, int]) -> bool:
    x0, y0, x1, y1 = symbol.box
    return frame[0] <= x0 and frame[1] <= y0 and x1 <= frame[2] and y1 <= frame[3]


def test_cells_added_behind_an_existing_inverter(cases: Cases) -> None:
    """The cells stand in the dashed frame, inverter and panels in thick lines outside it."""
    (drawing,) = draw(cases["cells added behind existing PV"]())
    inverter, panels, cells = (
        only(drawing, name, "inv-1") for name in ("inverter-tested", "pv", "cells")
    )
    (frame,) = frames(drawing, "inv-1")
    assert (inverter.thick, panels.thick, cells.thick) == (True, True, False)
    assert [inside(s, frame) for s in (inverter, panels, cells)] == [False, False, True]
    assert "existing" in said(drawing, "inv-1")
    assert "proposed" in said(drawing, "inv-1")


def test_every_status_has_its_word_and_its_mark(making: Making, a_unit: AUnit) -> None:
    """No colour tells them apart: thick lines, a frame, a cross, and always the word."""
    (drawing,) = draw(
        making([a_unit(status, status=status) for status in ("existing", "proposed", "removed")])
    )
    marks = {
        status: (
            only(drawing, "inverter-tested", status).thick,
            len(frames(drawing, status)),
            len([c for c in drawing.lines if c.kind == "cross" and c.subject == status]),
        )
        for status in ("existing", "proposed", "removed")
    }
    # A cross has two lines, over the inverter and over its panels.
    assert marks == {
        "existing": (True, 0, 0),
        "proposed": (False, 1, 0),
        "removed": (False, 0, 4),
    }
    for status in marks:
        words = [label.full for label in drawing.labels if label.subject == status]
        assert words.count(status) == 2, "the unit's id and its status"


def test_control_lines_reach_the_controlled_units_alone(cases: Cases) -> None:
    (drawing,) = draw(cases["storage beside a string inverter, export limit"]())
    heads = [x for x in drawing.lines if x.kind == "head" and not x.sample]
    assert [x.subject for x in heads] == ["", "batt-1"]
    inverter = only(drawing, "inverter-tested", "batt-1")
    assert heads[1].points[1][0] == inverter.x
    ct = only(drawing, "ct")
    meter, switch = only(drawing, "meter"), only(drawing, "main-switch")
    assert meter.y < ct.y < switch.y
    words = " | ".join(label.full for label in drawing.labels).replace("\u00a0", " ")
    assert "export limit 16 A on each phase, fully type tested" in words
    assert "measured at: supply; meter tails, customer's side" in words
    assert "the facts do not name the units" in words
    assert "loads: assessed demand 14.2 kVA; charge point 7.36 kW; heat pump 3.5 kW" in words


def test_control_lines_follow_the_units_that_the_facts_name(cases: Cases) -> None:
    site = cases["storage beside a string inverter, export limit"]()
    assert isinstance(site.limits, Limits)
    assert isinstance(site.limits.export, Limit)
    named = structs.replace(site.limits.export, controls=("charge point", site.units[0].id))
    (drawing,) = draw(structs.replace(site, limits=Limits(export=named)))
    heads = [x for x in drawing.lines if x.kind == "head" and not x.sample]
    assert [x.subject for x in heads] == ["", site.units[0].id]
    words = " | ".join(label.full for label in drawing.labels).replace("\u00a0", " ")
    assert "the facts do not name the units" not in words


def joined_control(drawing: Drawing) -> int:
    """How many separate nets the control lines make."""
    nets: list[set[int]] = []
    lines = [line for line in drawing.lines if line.kind == "control" and not line.sample]
    for i, line in enumerate(lines):
        touching = [net for net in nets if any(touches(line.points, lines[j].points) for j in net)]
        nets = [net for net in nets if net not in touching]
        nets.append({i}.union(*touching))
    return len(nets)


def touches(a: tuple[tuple[int, int], ...], b: tuple[tuple[int, int], ...]) -> bool:
    return any(on(p, b) for p in (a[0], a[-1])) or any(on(p, a) for p in (b[0], b[-1]))


def on(point: tuple[int, int], way: tuple[tuple[int, int], ...]) -> bool:
    x, y = point
    return any(
        min(x0, x1) <= x <= max(x0, x1) and min(y0, y1) <= y <= max(y0, y1)
        for (x0, y0), (x1, y1) in itertools.pairwise(way)
    )


@pytest.mark.parametrize(
    ("case", "nets"),
    [
        # The line from the transformer to the scheme's box, and the lines from the box on.
        ("storage beside a string inverter, export limit", [2]),
        # The transformer is at a board or unit, so all is one.
        ("many sources, nested boards, two limits", [1, 1]),
        ("measured at a unit", [1]),
        ("twenty lines, two boards", [2, 1, 1, 1, 1]),
    ],
)
def test_control_lines_hang_together(cases: Cases, case: str, nets: list[int]) -> None:
    assert [joined_control(drawing) for drawing in draw(cases[case]())] == nets


def test_the_transformer_follows_measured_at(cases: Cases) -> None:
    sheets = draw(cases["many sources, nested boards, two limits"]())
    places = [s.subject for d in sheets for s in d.symbols if s.name == "ct" and s.subject]
    assert places == ["B2"]
    (drawing,) = draw(cases["measured at a unit"]())
    assert only(drawing, "ct").subject == "a"


def test_boards_hang_on_each_other(cases: Cases) -> None:
    first, second = draw(cases["many sources, nested boards, two limits"]())
    assert "fed from the main board" in said(first, "B1")
    assert "fed from board B1" in said(second, "B2")
    assert "from sheet 1: Board B1" in [label.full for label in second.labels]
    assert "continued on sheet 2" in [label.full for label in first.labels]


def test_more_sources_than_fit_are_drawn_as_sums(cases: Cases) -> None:
    _, second = draw(cases["many sources, nested boards, two limits"]())
    words = said(second, "big").replace("\u00a0", " ")
    # 8 x 1 kWp proposed; 0.9 kWp existing on its own.
    assert "8 arrays, 8 kWp in all" in words
    assert "0.9 kWp" in words
    assert len([s for s in second.symbols if s.subject == "big" and s.name == "pv"]) == 2


def test_devices_beyond_three_stand_in_a_note(cases: Cases) -> None:
    _, second = draw(cases["many sources, nested boards, two limits"]())
    assert len([s for s in second.symbols if s.subject == "big" and s.name == "rcd"]) == 2
    # MCCB and two RCDs are drawn; two of the four RCDs are not.
    note = "Also in the circuit of big, not drawn: RCD; RCD."
    assert note in second.description


def test_odd_plant(cases: Cases) -> None:
    drawing, second = draw(cases["removed, switched, vehicle, unknown, stray cells"]())
    assert path_up(drawing, only(drawing, "unit-not-known", "unclear"))[-1] == "busbar"
    assert only(second, "cells").subject == "inv-9"
    assert path_up(second, only(second, "cells")) == ["cells"]
    words = " | ".join(label.full for sheet in (drawing, second) for label in sheet.labels)
    for part in (
        "names unit “inv-9”, which is not there",
        "Not drawn: arc fault device (serves “nobody”, which is not there).",
        "Cut-out, rating to be confirmed on site",
        "earthing to be confirmed on site",
        "SPD",
    ):
        assert part in words
    assert path_up(drawing, only(drawing, "machine", "gen-1")) == [
        "machine",
        "interface",
        "device-not-known",
        "changeover",
        "device-not-known",
        "busbar",
    ]
    assert "synchronous generator" in said(drawing, "gen-1")
    assert "never in parallel with the network" in said(drawing, "gen-1")
    assert path_up(drawing, only(drawing, "vehicle", "v2g-1"))[1] == "inverter-tested"


def test_a_switch_of_the_facts_is_the_main_switch(making: Making, a_unit: AUnit) -> None:
    (drawing,) = draw(
        making(
            [a_unit("a", feeds_from="Consumer Unit")],
            protection=[{"kind": "main switch", "serves": "main board", "rating_a": 100}],
        )
    )
    assert only(drawing, "main-switch")
    words = said(drawing, "").replace("\u00a0", " ")
    assert "main switch 100 A" in words
    assert "Main board (Consumer Unit)" in words


@pytest.mark.parametrize("count", [1, 20])
def test_every_unit_stands_once(making: Making, a_unit: AUnit, count: int) -> None:
    ids = [f"inv-{i}" for i in range(count)]
    drawings = draw(making([a_unit(i) for i in ids]))
    labels = [label for d in drawings for label in d.labels if label.role == "unit"]
    assert [label.subject for label in labels] == ids
    assert [label.full for label in labels] == ids
    inverters = [
        s.subject
        for d in drawings
        for s in d.symbols
        if s.name == "inverter-tested" and not s.sample
    ]
    assert inverters == ids


def test_the_description_names_everything(site: Site) -> None:
    whole = "\n".join(drawing.description for drawing in draw(site))
    for unit in site.units:
        assert whole.count(f"Unit {unit.id} (") == 1
    for store in site.storage:
        energy = f"{store.usable_wh // 1000}"  # type: ignore[operator]
        assert energy in whole
    assert "Legend: existing (thick)" in whole
    assert whole.startswith("Single-line diagram of ")


def test_sheets_are_numbered_and_each_has_its_legend(site: Site) -> None:
    drawings = draw(site)
    assert [d.sheet for d in drawings] == list(range(1, len(drawings) + 1))
    for drawing in drawings:
        assert f"{drawing.sheet} of {len(drawings)}" in [x.full for x in drawing.labels]
        assert (f", sheet {drawing.sheet} of" in drawing.title) == (len(drawings) > 1)
        shown = [label for label in drawing.labels if label.role == "legend"]
        # One heading, and every entry in full.
        assert [label.full for label in shown[1:]] == [entry.words for entry in drawing.legend]
        assert not any(row.text.endswith("…") for label in shown for row in label.rows)
