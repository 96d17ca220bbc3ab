"""Merge electrical checks with the same result: twenty like units are one row of a table."""

import re
from collections.abc import Callable, Hashable, Iterable, Sequence

from msgspec import Struct, structs

from connections.pack.figures import listed
from connections.pack.withholding import Withholding
from connections.rules.checks.basis.types import Check, PlotData

_OTHER = "\N{OBJECT REPLACEMENT CHARACTER}"


class Alike(Struct, frozen=True):
    """Checks that differ only in their subject; the first stands for all."""

    checks: tuple[Check, ...]

    @property
    def first(self) -> Check:
        """The one that is shown."""
        return self.checks[0]

    @property
    def subjects(self) -> str:
        """Their subjects, in words."""
        names = [check.subject for check in self.checks]
        heads, marks, tails = zip(*(name.partition(": ") for name in names), strict=True)
        if all(marks) and len(set(tails)) == 1:
            return f"{listed(heads)}: {tails[0]}"
        return listed(names)

    def words(self, text: str) -> str:
        """A text of the first check, worded for all of them."""
        return text if len(self.checks) == 1 else _about(self.first).sub("each", text)


def by_title(checks: Iterable[Check]) -> tuple[Check, ...]:
    """Group checks by title, in the order in which titles first come."""
    titles: dict[str, list[Check]] = {}
    for check in checks:
        titles.setdefault(check.title, []).append(check)
    return tuple(check for found in titles.values() for check in found)


def alike(checks: Sequence[Check], said: Callable[[Check], tuple[str, ...]]) -> tuple[Alike, ...]:
    """Merge checks whose `said` texts differ only in their subject."""
    found: dict[Hashable, list[Check]] = {}
    for check in checks:
        about = _about(check)
        key = (check.title, *(about.sub(_OTHER, text) for text in said(check)))
        found.setdefault(key, []).append(check)
    return tuple(Alike(tuple(group)) for group in found.values())


def _about(check: Check) -> re.Pattern[str]:
    """Pattern of the check's subject in a text: "inv-1", and not the start of "inv-10"."""
    return re.compile(rf"(?<![\w-]){re.escape(check.subject)}(?![\w-])")


def without_persons(checks: Iterable[Check], withholding: Withholding) -> tuple[Check, ...]:
    """The checks with personal values replaced in every text, as the technical part holds them."""
    return tuple(_treated(check, withholding) for check in checks)


def _treated(check: Check, withholding: Withholding) -> Check:
    text = withholding.text
    return structs.replace(
        check,
        subject=text(check.subject),
        inputs=tuple(
            structs.replace(
                one, name=text(one.name), value=text(one.value), reason=text(one.reason)
            )
            for one in check.inputs
        ),
        workings=tuple(map(text, check.workings)),
        says=text(check.says),
        needs=tuple(map(text, check.needs)),
        plot=None if check.plot is None else _treated_plot(check.plot, text),
        read=(),
    )


def _treated_plot(plot: PlotData, text: Callable[[str], str]) -> PlotData:
    return structs.replace(
        plot,
        series=tuple(
            structs.replace(
                series,
                name=text(series.name),
                points=tuple(structs.replace(p, label=text(p.label)) for p in series.points),
            )
            for series in plot.series
        ),
    )
