"""Current clamps at the supply and what reads them. Common practice, no source."""

from typing import Any

import pytest

from connections.rules.decide import Decided, decide
from tests.site_files import ALL, L1, L2, book, cells, decided, file, found, limit, read, unit

EXPORT, IMPORT = "export-limit", "import-limit"
IDS = ("clamps-contending", "clamp-phase-missing", "clamp-beside-tap", "clamp-to-confirm")


def clamps(*each: tuple[str, str | None], **facts: Any) -> list[dict[str, Any]]:
    """Clamps at the supply, each by what reads it and its phase; arrows to the supply."""
    return [
        {"id": f"ct-{i}", "place": "grid", "serves": serves, "direction": "towards-supply",
         **({"phase": phase} if phase else {}), **facts}
        for i, (serves, phase) in enumerate(each, start=1)
    ]  # fmt: skip


def told(answer: Decided) -> list[tuple[str, str, str]]:
    """The findings about clamps: id, severity and subject."""
    return [(id, *each) for id in IDS for each in found(answer, id)]


def words(answer: Decided, id: str) -> str:
    [about] = [each for each in answer.findings if each.id == id]
    return about.words()[0]


def test_nothing_is_said_without_clamps():
    none: list[dict[str, Any]] = [{}, {"clamps": None}, {"clamps": []}]
    for stated in none:
        content = file(unit(), limits=limit(16_000), **stated)
        assert told(decide(read(content), book())) == []


@pytest.mark.parametrize("serves", [EXPORT, "inv-1"])
def test_one_clamp_at_the_supply_suffices(serves):
    """None is asked for at the panels; one that is there for the maker says nothing either."""
    own = clamps((serves, "L1"))
    assert told(decided(unit(), limits=limit(16_000), clamps=own)) == []
    own += [{"id": "ct-9", "place": "pv", "serves": "inv-1", "phase": "L1",
             "direction": "towards-site"}]  # fmt: skip
    assert told(decided(unit(), limits=limit(16_000), clamps=own)) == []


@pytest.mark.parametrize(
    ("stated", "phases"),
    [
        # On one phase, where it need not be said of a supply of one phase.
        (clamps((EXPORT, "L1"), ("bat-1", "L1")), 1),
        (clamps((EXPORT, None), ("bat-1", None)), 1),
        (clamps((EXPORT, "L1"), ("bat-1", "L1")), 3),
    ],
)
def test_a_limit_and_storage_read_the_supply_on_one_phase(stated, phases):
    answer = decided(unit(), cells(), phases=phases, limits=limit(16_000), clamps=stated)
    assert told(answer) == [("clamps-contending", "decide", "supply")]
    assert "On L1, the export limit and bat-1 each read the supply." in words(
        answer, "clamps-contending"
    )


@pytest.mark.parametrize(
    "stated",
    [
        # Two clamps of one controller, and both limits, of which one rests while the other acts.
        clamps((EXPORT, "L1"), (EXPORT, "L1")),
        clamps((EXPORT, "L1"), (IMPORT, "L1")),
        # One of the two is not at the supply, or its reader is not known.
        [*clamps((EXPORT, "L1")), *({**each, "id": "ct-8", "place": "storage"}
                                    for each in clamps(("bat-1", "L1")))],
        [*clamps((EXPORT, "L1")), {"id": "ct-8", "place": "grid", "phase": "L1",
                                   "direction": "towards-supply"}],
    ],
)  # fmt: skip
def test_one_controller_has_nobody_against_it(stated):
    assert told(decided(unit(), cells(), limits=limit(16_000), clamps=stated)) == []


def test_controllers_on_different_phases_do_not_meet():
    plant = unit("pv-1"), cells("bat-1", phases=L2)
    stated = clamps(("pv-1", "L1"), ("bat-1", "L2"))
    assert told(decided(*plant, phases=3, clamps=stated)) == []


def test_the_clamp_of_what_is_taken_out_counts_no_more():
    plant = unit(), cells("bat-0", status="removed")
    stated = clamps((EXPORT, "L1"), ("bat-0", "L1"))
    assert told(decided(*plant, limits=limit(16_000), clamps=stated)) == []


@pytest.mark.parametrize(
    ("reader", "on", "acts_on", "without"),
    [
        # A unit needs the phases that it feeds; another phase is none of them.
        ("inv-1", ALL, ALL, []),
        ("inv-1", ["L1", "L2"], ALL, ["L3"]),
        ("inv-1", L1, L1, []),
        ("inv-1", L2, L1, ["L1"]),
        # An export limit: those with plant. A phase without plant exports nothing.
        (EXPORT, ["L1", "L3"], ALL, ["L2"]),
        (EXPORT, L1, L1, []),
        # An import limit: all.
        (IMPORT, ["L1", "L2"], L1, ["L3"]),
        (IMPORT, ALL, L1, []),
        # What is no unit and no limit: cannot be told.
        ("diverter", L1, ALL, []),
    ],
)
def test_a_phase_without_a_clamp(reader, on, acts_on, without):
    stated = clamps(*((reader, phase) for phase in on))
    answer = decided(unit(phases=acts_on), phases=3, limits=limit(16_000), clamps=stated)
    assert told(answer) == ([("clamp-phase-missing", "decide", reader)] if without else [])
    if without:
        assert f"on {without[0]} no clamp is stated" in words(answer, "clamp-phase-missing")


@pytest.mark.parametrize(("nets", "missing"), [(True, True), (False, False), (None, False)])
def test_a_limit_that_nets_the_phases_reads_them_all(nets, missing):
    limits = limit(3680, "w_total", nets_phases=nets)
    answer = decided(unit(), phases=3, limits=limits, clamps=clamps((EXPORT, "L1")))
    assert bool(found(answer, "clamp-phase-missing")) is missing
    if missing:
        assert "on L2 and L3 no clamp is stated" in words(answer, "clamp-phase-missing")


def test_a_clamp_of_unknown_phase_is_asked_about_and_not_taken_for_missing():
    stated = clamps((EXPORT, "L1"), (EXPORT, "L2"), (EXPORT, None))
    answer = decided(unit(phases=ALL), phases=3, limits=limit(16_000), clamps=stated)
    assert told(answer) == [("clamp-to-confirm", "inform", "supply")]
    assert words(answer, "clamp-to-confirm") == "Confirm on commissioning: the phase of ct-3."


@pytest.mark.parametrize(
    ("tap", "reader", "place", "asked"),
    [
        ("service-connectors", EXPORT, "grid", True),
        ("service-connectors", "bat-1", "grid", True),
        ("service-connectors", "inv-1", "grid", False),
        ("service-connectors", "bat-1", "storage", False),
        ("consumer-unit", EXPORT, "grid", False),
        (None, EXPORT, "grid", False),
    ],
)
def test_storage_from_the_tails_lies_behind_the_clamp(tap, reader, place, asked):
    answer = decided(
        unit(),
        cells(),
        limits=limit(16_000),
        storage=[{"unit_id": "bat-1", "tap": tap}],
        clamps=clamps((reader, "L1"), place=place),
    )
    assert told(answer) == ([("clamp-beside-tap", "inform", "storage[0]")] if asked else [])
    if asked:
        assert "ct-1 must sit on the network's side" in words(answer, "clamp-beside-tap")


@pytest.mark.parametrize(
    ("directions", "sentence"),
    [
        (("towards-supply", "towards-supply"), None),
        (("towards-site", "towards-site"), None),  # which way is right is the maker's
        (("towards-supply", None), "which way the arrow of ct-2 points."),
        (("towards-supply", "towards-site"),
         "why the arrows of ct-1 and ct-2 point different ways."),
    ],
)  # fmt: skip
def test_the_arrows_of_one_controller_point_alike(directions, sentence):
    stated = clamps((EXPORT, "L1"), (EXPORT, "L2"))
    for each, direction in zip(stated, directions, strict=True):
        each["direction"] = direction
    answer = decided(
        unit(), unit("inv-2", phases=L2), phases=3, limits=limit(16_000), clamps=stated
    )
    assert told(answer) == ([("clamp-to-confirm", "inform", "supply")] if sentence else [])
    if sentence:
        assert words(answer, "clamp-to-confirm") == f"Confirm on commissioning: {sentence}"
