"""Place the bars of phases: what is there, what is proposed, and the limits of procedures."""

from itertools import pairwise

from msgspec import Struct

from connections.pack.content import PhaseBars

_LEFT, _WIDE, _BESIDE = 18, 508, 150
"""Room for the name of a phase, and the widths of a drawing in points: of a page and of its part
beside a table."""
_LEGEND, _BAR, _PITCH, _FOOT = 15, 10, 15, 11
_LEAST_GAP = 26
"""Least distance of two limits whose words stand side by side."""


class Bar(Struct, frozen=True):
    """The bar of a phase: its name, its height on the drawing, and two lengths end to end."""

    name: str
    y: int
    there: int
    asked: int

    @property
    def asked_x(self) -> int:
        """Where the second part begins."""
        return _LEFT + self.there


class Mark(Struct, frozen=True):
    """A limit across the bars; its words are empty where they would touch the next ones."""

    x: int
    words: str


class Bars(Struct, frozen=True):
    """The drawing in points. `names` are those of both parts, with their places in the legend."""

    width: int
    height: int
    left: int
    foot: int
    bars: tuple[Bar, ...]
    marks: tuple[Mark, ...]
    names: tuple[tuple[str, int, bool], ...]


def placed(block: PhaseBars) -> Bars:
    """Place the bars to one scale, with the limits marked across."""
    width = _BESIDE if block.side else _WIDE
    most = max(*(level.value for level in block.levels), *(b.there + b.asked for b in block.bars))
    scale = (width - _LEFT - 14) / most

    def along(ma: int) -> int:
        return round(ma * scale)

    bars = tuple(
        Bar(bar.phase, _LEGEND + n * _PITCH, along(bar.there), along(bar.asked))
        for n, bar in enumerate(block.bars)
    )
    at = [_LEFT + along(level.value) for level in block.levels]
    crowded = {x for x, after in pairwise(at) if after - x < _LEAST_GAP}
    foot = _LEGEND + len(bars) * _PITCH
    names = [
        (name, asked)
        for name, asked in zip(block.names, (False, True), strict=True)
        if any(bar.asked if asked else bar.there for bar in block.bars)
    ]
    return Bars(
        width,
        foot + _FOOT,
        _LEFT,
        foot,
        bars,
        tuple(
            Mark(x, "" if x in crowded else level.name)
            for x, level in zip(at, block.levels, strict=True)
        ),
        tuple((name, _LEFT + 66 * n, asked) for n, (name, asked) in enumerate(names)),
    )
