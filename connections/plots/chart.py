"""Place line and bar plots.

Each line or bar has its name beside it, and a stroke or a filling of its own, so that nothing is
told by colour alone. `description` is the text alternative; the figures themselves belong in a
table beside the plot.
"""

from collections.abc import Sequence
from math import ceil

from msgspec import Struct

from connections.plots.scale import Scale, figure, scale

# 2026-11-25: draw plots ourselves. Plotting libraries write style attributes, which the
# content security policy refuses.
WIDTH, HEIGHT = 680, 300


class Sheet(Struct, frozen=True):
    """The area of a plot [drawing units]: its size, and the room around the axes.

    `right` is the room for the names of lines, `narrow` the room where none stand at the right.
    With `beneath`, names stand under the plot.
    """

    width: int
    height: int
    left: float
    right: float
    top: float
    foot: float
    narrow: float
    beneath: bool


LARGE = Sheet(WIDTH, HEIGHT, 64, 176, 16, 46, 12, False)
SMALL = Sheet(340, 200, 52, 18, 14, 26, 12, True)
"""For three plots side by side on a printed page: half as wide, with words of the same size."""
TALL = Sheet(340, 260, 52, 18, 22, 42, 12, True)
"""For a phone's width, with room for the words of the axis at the foot and of uprights."""

_LEGEND = 20
"""Room for names beneath a plot."""

DASHES = ("", "7 4", "2 3", "9 3 2 3", "14 4")
"""Strokes that tell lines apart; the first is drawn thicker."""

FILLINGS = ("solid", "striped", "open", "dotted")
"""Fillings that tell bars apart."""

_NAME_AND_GAPS = 27
"""Name of the upright axis, which ends at 18, and the gaps before and behind its ticks. The
template puts ticks 8 before the axis [drawing units]."""
_WIDEST_DIGIT = 7.7
"""Widest digit of the typefaces of a plot, at the size of its words [drawing units]."""

_LEAST_GAP = 15
"""Least distance of two words at the right edge [drawing units]."""


class Line(Struct, frozen=True):
    """A line to draw: its name and points (x, y) in order."""

    name: str
    points: tuple[tuple[float, float], ...]


class Level(Struct, frozen=True):
    """A level to mark across the plot: a limit."""

    name: str
    value: float


class Upright(Struct, frozen=True):
    """A place on the axis at the foot, marked from bottom to top with its name above."""

    name: str
    at: float


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
    uprights: Sequence[Upright] = (),
    x_words: Sequence[tuple[float, str]] = (),
    from_zero: bool = False,
    sheet: Sheet = LARGE,
) -> Plot:
    """Lines over one axis, with levels marked across and places marked upright.

    `x_words` replace the round ticks of the axis. Raises ValueError if there is no point to draw.
    """
    points = [point for line in lines for point in line.points]
    if not points:
        raise ValueError("a plot needs at least one point")
    right = sheet.width - sheet.right
    foot = sheet.height - sheet.foot - (_LEGEND if sheet.beneath else 0)
    heights = [p[1] for p in points] + [level.value for level in levels]
    y = _vertical(heights, from_zero=from_zero, foot=foot, top=sheet.top)
    left = _left(sheet, y)
    across = [p[0] for p in points] + [at for at, _ in x_words] + [each.at for each in uprights]
    if x_words:
        x = Scale(min(across), max(max(across), min(across) + 1e-9), left, right, ())
        x_ticks = tuple(Tick(x.at(at), words) for at, words in x_words)
    else:
        x = scale(min(across), max(across), left, right)
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
    if sheet.beneath:
        taken = [(x.at(a), y.at(b)) for a, b in points]
        named = (
            *_beneath([line.name for line in lines], sheet),
            *_above(levels, y, left, right, taken),
        )
    else:
        named = tuple(_named(right + 8, at, name, dashes) for at, name, dashes in _apart(ends))
    return Plot(
        title=title,
        description=description,
        width=sheet.width,
        height=sheet.height,
        left=left,
        right=right,
        top=sheet.top,
        foot=foot,
        x_label=x_label,
        y_label=y_label,
        x_ticks=x_ticks,
        y_ticks=tuple(Tick(y.at(tick), figure(tick)) for tick in y.ticks),
        lines=drawn,
        levels=(
            *_levels(levels, y, left, right),
            *(_upright(x.at(each.at), foot, sheet.top) for each in uprights),
        ),
        bars=(),
        words=(*named, *(_over(each.name, x.at(each.at), sheet) for each in uprights)),
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
    sheet: Sheet = LARGE,
) -> Plot:
    """Bars in groups, side by side or on top of each other, with levels marked across.

    Raises ValueError if there is nothing to draw.
    """
    if not groups or not series:
        raise ValueError("a plot needs at least one bar")
    right = sheet.width - (sheet.right if levels and not sheet.beneath else sheet.narrow)
    foot = sheet.height - sheet.foot - _LEGEND
    heights = [value for bars in series for value in bars.values if value is not None]
    if stacked:
        heights = [
            sum(bars.values[n] or 0 for bars in series) for n in range(len(groups))
        ] + heights
    heights += [0, *(level.value for level in levels)]
    y = _vertical(heights, from_zero=True, foot=foot, top=sheet.top)
    left = _left(sheet, y)
    step = (right - left) / len(groups)
    each = step * 0.72 / (1 if stacked else len(series))
    drawn: list[DrawnBar] = []
    for n in range(len(groups)):
        at = left + n * step + step * 0.14
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
    legend, place = [], 10.0 if sheet.beneath else left
    for k, bars in enumerate(series):
        filling = FILLINGS[k % len(FILLINGS)]
        legend.append(Words(place, sheet.height - 8, bars.name, filling=filling))
        place += (36 + 6.4 * len(bars.name)) if sheet.beneath else (44 + 7.2 * len(bars.name))
    ends: list[_End] = [(y.at(level.value), level.name, None) for level in levels]
    named = tuple(Words(right + 8, at, name) for at, name, _ in _apart(ends))
    return Plot(
        title=title,
        description=description,
        width=sheet.width,
        height=sheet.height,
        left=left,
        right=right,
        top=sheet.top,
        foot=foot,
        x_label="",
        y_label=y_label,
        x_ticks=tuple(
            Tick(round(left + (n + 0.5) * step, 2), words) for n, words in enumerate(groups)
        ),
        y_ticks=tuple(Tick(y.at(tick), figure(tick)) for tick in y.ticks),
        lines=(),
        levels=_levels(levels, y, left, right),
        bars=tuple(drawn),
        words=(*legend, *(_above(levels, y, left, right) if sheet.beneath else named)),
        zero=y.at(0) if y.low < 0 < y.high else None,
    )


def _left(sheet: Sheet, y: Scale) -> float:
    """Position of the axis, with room for its name and its longest tick."""
    longest = max(len(figure(tick)) for tick in y.ticks)
    return max(sheet.left, float(ceil(_NAME_AND_GAPS + _WIDEST_DIGIT * longest)))


def _named(x: float, at: float, name: str, dashes: str | None) -> Words:
    """A name at the right edge, after a sample of its line; a level has no sample."""
    if dashes is None:
        return Words(x, at, name)
    return Words(x + 28, at, name, dashes=dashes, sample=f"{x:g},{at:g} {x + 22:g},{at:g}")


def _beneath(names: Sequence[str], sheet: Sheet) -> tuple[Words, ...]:
    """Names of lines in a row under the plot, each behind a sample of its line."""
    found, place, at = [], 10.0, sheet.height - 10.0
    for n, name in enumerate(names):
        dashes = DASHES[n % len(DASHES)]
        sample = f"{place:g},{at:g} {place + 20:g},{at:g}"
        found.append(Words(place + 24, at, name, dashes=dashes, sample=sample))
        place += 36 + 6.6 * len(name)
    return tuple(found)


def _above(
    levels: Sequence[Level],
    y: Scale,
    left: float,
    right: float,
    taken: Sequence[tuple[float, float]] = (),
) -> tuple[Words, ...]:
    """Names of levels, each on its line: at the left end, or where fewest points lie behind it."""
    found = []
    for level in levels:
        at, width = y.at(level.value) - 8, 6.6 * len(level.name)
        places = (left + 4, right - 4 - width, (left + right - width) / 2)

        def behind(place: float, at: float = at, width: float = width) -> int:
            return sum(place - 4 <= a <= place + width + 4 and abs(b - at) <= 10 for a, b in taken)

        found.append(Words(min(places, key=behind), at, level.name))
    return tuple(found)


def _vertical(values: Sequence[float], *, from_zero: bool, foot: float, top: float) -> Scale:
    low, high = min(values), max(values)
    if from_zero:
        low, high = min(low, 0), max(high, 0)
    return scale(low, high, foot, top)


def _path(points: Sequence[tuple[float, float]], x: Scale, y: Scale) -> str:
    return " ".join(f"{x.at(a):g},{y.at(b):g}" for a, b in points)


def _levels(levels: Sequence[Level], y: Scale, left: float, right: float) -> tuple[DrawnLine, ...]:
    return tuple(
        DrawnLine(f"{left:g},{y.at(level.value):g} {right:g},{y.at(level.value):g}", "5 4", False)
        for level in levels
    )


def _upright(at: float, foot: float, top: float) -> DrawnLine:
    return DrawnLine(f"{at:g},{foot:g} {at:g},{top:g}", "5 4", False)


def _over(name: str, at: float, sheet: Sheet) -> Words:
    """The name of an upright over its upper end, on the side with more room."""
    return Words(at, sheet.top - 10, name, "start" if at < sheet.width / 2 else "end")


_End = tuple[float, str, str | None]


def _apart(ends: Sequence[_End]) -> list[_End]:
    """Move words at the right edge apart: down where they overlap, then up if too low."""
    placed: list[_End] = []
    for at, name, dashes in sorted(ends, key=lambda end: end[0]):
        least = placed[-1][0] + _LEAST_GAP if placed else LARGE.top
        placed.append((max(at, least), name, dashes))
    lowest = HEIGHT - LARGE.foot + 4.0
    for n in reversed(range(len(placed))):
        at, name, dashes = placed[n]
        placed[n] = (min(at, lowest), name, dashes)
        lowest = placed[n][0] - _LEAST_GAP
    return placed
