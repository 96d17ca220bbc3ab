"""Which board feeds which."""

from collections.abc import Callable
from typing import Any

import pytest

from connections.diagram.circuits.board_tree import (
    TAILS,
    boards_of,
    feed_words,
    feeds_of,
)
from connections.facts.site import Site

Making = Callable[..., Site]
AUnit = Callable[..., dict[str, Any]]


@pytest.mark.parametrize(
    ("named", "cables", "feeds"),
    [
        (["main", "Main Board", "CU"], [], {}),
        # Where nobody names the board, the unit's cable does, else it is the main one.
        ([None], [], {}),
        ([None], [("A", "u0")], {"A": ("", False)}),
        ([None], [("main", "u0")], {}),
        (["A"], [], {"A": ("", False)}),
        (["A"], [("main board", "A")], {"A": ("", True)}),
        (["A", "B"], [("main", "A"), ("A", "B")], {"A": ("", True), "B": ("A", True)}),
        # A board that feeds no unit of its own is known by its cable.
        (["B"], [("A", "B")], {"B": ("A", True), "A": ("", False)}),
        # A circle is cut open, and said not to be stated.
        (["A", "B"], [("A", "B"), ("B", "A")], {"A": ("", False), "B": ("", False)}),
        (["A"], [("A", "A")], {"A": ("", False)}),
        # The place of supply is no board: the feeder leaves the meter tails.
        (["A"], [("meter", "A")], {"A": (TAILS, True)}),
        # Five deep: the fifth is drawn from the main board, and says so.
        (
            ["A", "B", "C", "D", "E"],
            [("main", "A"), ("A", "B"), ("B", "C"), ("C", "D"), ("D", "E")],
            {
                "A": ("", True),
                "B": ("A", True),
                "C": ("B", True),
                "D": ("C", True),
                "E": ("", True),
            },
        ),
    ],
)
def test_feeds(
    making: Making,
    a_unit: AUnit,
    named: list[str | None],
    cables: list[tuple[str, str]],
    feeds: dict[str, tuple[str, bool]],
) -> None:
    site = making(
        [a_unit(f"u{i}", feeds_from=name) for i, name in enumerate(named)],
        cables=[{"from": start, "to": end} for start, end in cables],
    )
    found = feeds_of(site, boards_of(site))
    assert {board: (feed.parent, feed.stated) for board, feed in found.items()} == feeds


def test_words(making: Making, a_unit: AUnit) -> None:
    chain = [("main", "A"), ("A", "B"), ("B", "C"), ("C", "D"), ("D", "E")]
    site = making(
        [a_unit("u", feeds_from="E"), a_unit("v", feeds_from="F")],
        cables=[{"from": start, "to": end, "csa_mm2": "10"} for start, end in chain],
    )
    feeds = feeds_of(site, boards_of(site))
    assert feed_words(feeds["B"]).replace("\u00a0", " ") == ("fed from board A, cable 10 mm²")
    assert feed_words(feeds["F"]) == "fed from the main board, to be confirmed on site"
    assert feed_words(feeds["E"]) == (
        "fed through 4 boards; drawn from the main board for want of space"
    )
