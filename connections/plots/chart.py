"""Line and bar plots, placed.

What a line or bar is stands beside it in words, and each has a stroke or a filling of its own, so
that nothing is told by colour alone. `description` is the text alternative; the figures themselves
belong in a table beside the plot.
"""

from collections.abc import Sequence

from msgspec import Struct

from connections.plots.scale import Scale, figure, scale

WIDTH, HEIGHT = 680, 300
_LEFT, _RIGHT, _TOP, _FOOT = 64, 176, 16, 46
_NARROW = 12
"""Room at the right where no words stand there."""

DASHES = ("", "7 4", "2 3", "9 3 2 3", "14 4")
"""Strokes by which lines are told apart; the first is drawn thicker."""

FILLINGS = ("solid", "striped", "open", "dotted")
"""Fillings by which bars are told apart."""

_LEAST_GAP = 15
"""Between two words at the right edge [drawing units]."""


class Line(Struct, frozen=True):
    """A line to be drawn: its name and points (x, y) in order."""

    name: str
    points: tuple[tuple[float, float], ...]


class Level(Struct, frozen=True):
    """A level to be marked across the plot: a limit."""

    name: str
    value: float


class Bars(Struct, frozen=True):
    """Bars of one kind: a name and a value for each group; None where there is none."""

    name: str
    values: tuple[float | None, ...]


class Tick(Struct, frozen=True):
    """A mark of an axis with its words."""

    at: float
    words: str


class DrawnLine(Struct, frozen=True):
    """A line with its stroke."""

    path: str
    dashes: str
    wide: bool


class DrawnBar(Struct, frozen=True):
    """A bar with its filling."""

    x: float
    y: float
    width: float
    height: float
    filling: str


class Words(Struct, frozen=True):
    """A word in the plot, its anchor, and the sample of stroke or filling before it.

    `sample` is the path of the stroke, empty for none.
    """

    x: float
    y: float
    text: str
    anchor: str = "start"
    dashes: str = ""
    filling: str = ""
    sample: str = ""


class Plot(Struct, frozen=True):
    """A plot as the template prints it."""

    title: str
    description: str
    width: int
    height: int
    left: float
    right: float
    top: float
    foot: float
    x_label: str
    y_label: str
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    lines: tuple[DrawnLine, ...]
    levels: tuple[DrawnLine, ...]
    bars: tuple[DrawnBar, ...]
    words: tuple[Words, ...]
    zero: float | None


def line_plot(
    title: str,
    lines: Sequence[Line],
    *,
    x_label: str,
    y_label: str,
    description: str,
    levels: Sequence[Level] = (),
    x_words: Sequence[tuple[float, str]] = (),
    from_zero: bool = False,
) -> Plot:
    """Lines over one axis, with levels marked across.

    `x_words` are ticks of one's own; without them the axis has round ones. Raises ValueError where
    there is no point to draw.
    """
    points = [point for line in lines for point in line.points]
    if not points:
        raise ValueError("a plot needs at least one point")
    right = WIDTH - _RIGHT
    foot = HEIGHT - _FOOT
    y = _vertical(
        [p[1] for p in points] + [level.value for level in levels], from_zero=from_zero, foot=foot
    )
    across = [p[0] for p in points] + [at for at, _ in x_words]
    if x_words:
        x = Scale(min(across), max(max(across), min(across) + 1e-9), _LEFT, right, ())
        x_ticks = tuple(Tick(x.at(at), words) for at, words in x_words)
    else:
        x = scale(min(across), max(across), _LEFT, right)
        x_ticks = tuple(Tick(x.at(tick), figure(tick)) for tick in x.ticks)
    drawn = tuple(
        DrawnLine(_path(line.points, x, y), DASHES[n % len(DASHES)], n == 0)
        for n, line in enumerate(lines)
    )
    ends: list[_End] = [
        (y.at(line.points[-1][1]), line.name, DASHES[n % len(DASHES)])
        for n, line in enumerate(lines)
        if line.points
    ]
    ends += [(y.at(level.value), level.name, None) for level in levels]
    return Plot(
        title=title,
        description=description,
        width=WIDTH,
        height=HEIGHT,
        left=_LEFT,
        right=right,
        top=_TOP,
        foot=foot,
        x_label=x_label,
        y_label=y_label,
        x_ticks=x_ticks,
        y_ticks=tuple(Tick(y.at(tick), figure(tick)) for tick in y.ticks),
        lines=drawn,
        levels=_levels(levels, y, right),
        bars=(),
        words=tuple(_named(right + 8, at, name, dashes) for at, name, dashes in _apart(ends)),
        zero=y.at(0) if y.low < 0 < y.high else None,
    )


def bar_plot(
    title: str,
    groups: Sequence[str],
    series: Sequence[Bars],
    *,
    y_label: str,
    description: str,
    levels: Sequence[Level] = (),
    stacked: bool = False,
) -> Plot:
    """Bars in groups, side by side or on top of each other, with levels marked across.

    Raises ValueError where there is nothing to draw.
    """
    if not groups or not series:
        raise ValueError("a plot needs at least one bar")
    right = WIDTH - (_RIGHT if levels else _NARROW)
    foot = HEIGHT - _FOOT - 20
    heights = [value for bars in series for value in bars.values if value is not None]
    if stacked:
        heights = [
            sum(bars.values[n] or 0 for bars in series) for n in range(len(groups))
        ] + heights
    y = _vertical([*heights, 0, *(level.value for level in levels)], from_zero=True, foot=foot)
    step = (right - _LEFT) / len(groups)
    each = step * 0.72 / (1 if stacked else len(series))
    drawn: list[DrawnBar] = []
    for n in range(len(groups)):
        at = _LEFT + n * step + step * 0.14
        base = 0.0
        for k, bars in enumerate(series):
            value = bars.values[n]
            if value is None:
                continue
            low, high = (base, base + value) if stacked else (min(0.0, value), max(0.0, value))
            drawn.append(
                DrawnBar(
                    x=round(at + (0 if stacked else k * each), 2),
                    y=y.at(high),
                    width=round(each, 2),
                    height=round(y.at(low) - y.at(high), 2),
                    filling=FILLINGS[k % len(FILLINGS)],
                )
            )
            base = high if stacked else 0.0
    legend, place = [], float(_LEFT)
    for k, bars in enumerate(series):
        legend.append(Words(place, HEIGHT - 8, bars.name, filling=FILLINGS[k % len(FILLINGS)]))
        place += 44 + 7.2 * len(bars.name)
    ends: list[_End] = [(y.at(level.value), level.name, None) for level in levels]
    return Plot(
        title=title,
        description=description,
        width=WIDTH,
        height=HEIGHT,
        left=_LEFT,
        right=right,
        top=_TOP,
        foot=foot,
        x_label="",
        y_label=y_label,
        x_ticks=tuple(
            Tick(round(_LEFT + (n + 0.5) * step, 2), words) for n, words in enumerate(groups)
        ),
        y_ticks=tuple(Tick(y.at(tick), figure(tick)) for tick in y.ticks),
        lines=(),
        levels=_levels(levels, y, right),
        bars=tuple(drawn),
        words=(*legend, *(Words(right + 8, at, name) for at, name, _ in _apart(ends))),
        zero=y.at(0) if y.low < 0 < y.high else None,
    )


def _named(x: float, at: float, name: str, dashes: str | None) -> Words:
    """A name at the right edge, behind a sample of its line; a level's stands alone."""
    if dashes is None:
        return Words(x, at, name)
    return Words(x + 28, at, name, dashes=dashes, sample=f"{x:g},{at:g} {x + 22:g},{at:g}")


def _vertical(values: Sequence[float], *, from_zero: bool, foot: float) -> Scale:
    low, high = min(values), max(values)
    if from_zero:
        low, high = min(low, 0), max(high, 0)
    return scale(low, high, foot, _TOP)


def _path(points: Sequence[tuple[float, float]], x: Scale, y: Scale) -> str:
    return " ".join(f"{x.at(a):g},{y.at(b):g}" for a, b in points)


def _levels(levels: Sequence[Level], y: Scale, right: float) -> tuple[DrawnLine, ...]:
    return tuple(
        DrawnLine(f"{_LEFT},{y.at(level.value):g} {right},{y.at(level.value):g}", "5 4", False)
        for level in levels
    )


_End = tuple[float, str, str | None]


def _apart(ends: Sequence[_End]) -> list[_End]:
    """Words at the right edge moved down where they would lie on each other, then up if too low."""
    placed: list[_End] = []
    for at, name, dashes in sorted(ends, key=lambda end: end[0]):
        least = placed[-1][0] + _LEAST_GAP if placed else _TOP
        placed.append((max(at, least), name, dashes))
    lowest = HEIGHT - _FOOT + 4.0
    for n in reversed(range(len(placed))):
        at, name, dashes = placed[n]
        placed[n] = (min(at, lowest), name, dashes)
        lowest = placed[n][0] - _LEAST_GAP
    return placed
