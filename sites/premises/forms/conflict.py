"""Compares two versions of a sheet: the one typed here, and the one saved meanwhile.

Matches rows by key. If the sheet as opened is known, tells who made each change: they, you or both.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from sites.house.boxes.fields import Box
from sites.house.boxes.sheet_form import MAX_ROWS, SheetForm
from sites.premises.forms.posted import TAKE
from sites.premises.forms.sheet import GROUPS, SINGLES, Raw, called

Who = Literal["both", "they", "you", "unknown"]
TAKEN_OUT = "not on the sheet"


class Place(NamedTuple):
    """Names a box of the sheet, or a whole row if `box` is empty.

    `group` is its part or group; `key` is that of its row, empty if it is in no row.
    """

    group: str
    key: str
    box: str

    @property
    def choice(self) -> str:
        """The name under which the page posts the chosen version."""
        return f"{TAKE}{self.group}|{self.key}|{self.box}"


@dataclass(frozen=True)
class Difference:
    """A box or row that differs, as shown; `target` is the id of the box typed here."""

    place: Place
    label: str
    theirs: str
    mine: str
    who: Who
    takes_theirs: bool
    target: str = ""


class _Row(NamedTuple):
    """A saved row: prefix of its boxes' names, their texts, and whether it is taken out."""

    prefix: str
    texts: dict[str, str]
    gone: bool


def differences(mine: Raw, theirs: Raw, opened: Raw | None) -> list[Difference]:
    """Return each box and row in which two versions differ, in the order of the page.

    `opened` is the sheet before both changes, if known. Keeps the choices in `mine`. Without a
    choice, takes their version only if they alone changed it.
    """
    found = [*_in_parts(mine, theirs, opened), *_in_rows(mine, theirs, opened)]
    chosen = []
    for difference in found:
        choice = mine.get(difference.place.choice, [""])[-1]
        takes = choice == "theirs" if choice else difference.who == "they"
        chosen.append(Difference(**{**difference.__dict__, "takes_theirs": takes}))
    return chosen


def take_theirs(mine: Raw, theirs: Raw) -> Raw:
    """Return the sheet typed here with their version where chosen, and without the choices."""
    taken = {name: list(values) for name, values in mine.items() if not name.startswith(TAKE)}
    here, there = _rows(mine), _rows(theirs)
    for choice, values in mine.items():
        parts = choice.removeprefix(TAKE).split("|")
        if not choice.startswith(TAKE) or values[-1] != "theirs" or len(parts) != 3:
            continue
        place = Place(*parts)
        own, other = here.get(place[:2]), there.get(place[:2])
        if place.group in SINGLES:
            _copy(theirs, f"{place.group}-{place.box}", taken, f"{place.group}-{place.box}")
        elif place.group not in GROUPS:
            continue
        elif other is None:
            if own is not None:
                taken[f"{own.prefix}-gone"] = ["on"]
        elif place.box:
            if own is not None:
                _copy(theirs, f"{other.prefix}-{place.box}", taken, f"{own.prefix}-{place.box}")
        else:
            prefix = own.prefix if own is not None else _new_row(taken, place.group)
            for name in (*other.texts, "key", "gone"):
                _copy(theirs, f"{other.prefix}-{name}", taken, f"{prefix}-{name}")
    return taken


def _in_parts(mine: Raw, theirs: Raw, opened: Raw | None) -> Iterator[Difference]:
    for prefix, form in SINGLES.items():
        for name, box in _boxes(form):
            full = f"{prefix}-{name}"
            own, other = _text_in(box, mine, full), _text_in(box, theirs, full)
            if own != other:
                yield Difference(
                    Place(prefix, "", name),
                    _label(called(prefix), box),
                    _shown(box, other),
                    _shown(box, own),
                    _who(own, other, None if opened is None else _text_in(box, opened, full)),
                    False,
                    f"id_{full}",
                )


def _in_rows(mine: Raw, theirs: Raw, opened: Raw | None) -> Iterator[Difference]:
    here, there = _rows(mine), _rows(theirs)
    before = {} if opened is None else _rows(opened)
    for group, key in [*here, *(place for place in there if place not in here)]:
        own, other, old = (rows.get((group, key)) for rows in (here, there, before))
        row = own or other
        if row is None:
            continue
        label = f"{called(group)} {row.texts['was'] or row.texts.get('label', '')}".strip()
        if own is not None and other is not None and not own.gone:
            for name, box in _boxes(GROUPS[group]):
                if own.texts[name] != other.texts[name]:
                    yield Difference(
                        Place(group, key, name),
                        _label(label, box),
                        _shown(box, other.texts[name]),
                        _shown(box, own.texts[name]),
                        _who(own.texts[name], other.texts[name], old.texts[name] if old else None),
                        False,
                        f"id_{own.prefix}-{name}",
                    )
            continue
        ours = own.texts if own is not None and not own.gone else None
        if ours is None and other is None:
            continue
        yield Difference(
            Place(group, key, ""),
            label,
            _summary(group, other.texts) if other is not None else TAKEN_OUT,
            _summary(group, ours) if ours is not None else TAKEN_OUT,
            _who_of_row(ours, other.texts if other else None, old, opened is not None),
            False,
            f"row-{own.prefix}" if own is not None else "",
        )


def _who(mine: str, theirs: str, before: str | None) -> Who:
    if before is None:
        return "unknown"
    if mine == before:
        return "they"
    return "you" if theirs == before else "both"


def _who_of_row(
    mine: dict[str, str] | None, theirs: dict[str, str] | None, old: _Row | None, known: bool
) -> Who:
    """Tell who added a row or took it out."""
    if not known:
        return "unknown"
    if old is None:
        return "they"
    if mine is None:
        return "you" if theirs == old.texts else "both"
    return "they" if mine == old.texts else "both"


def _boxes(form: type[SheetForm]) -> Iterator[tuple[str, Box]]:
    """Yield the boxes that a person fills in."""
    for name, box in form.base_fields.items():
        if isinstance(box, Box) and box.control != "hidden" and name != "gone":
            yield name, box


def _label(part: str, box: Box) -> str:
    label = str(box.label)
    return f"{part}, {label[:1].lower()}{label[1:]}" if part else label


def _summary(group: str, texts: dict[str, str]) -> str:
    """Return the texts of a row in one line."""
    shown = (
        _shown(box, texts[name])
        for name, box in _boxes(GROUPS[group])
        if texts[name] and box.control != "tick"
    )
    return ", ".join(shown) or "an empty row"


def _shown(box: Box, text: str) -> str:
    """Return the text of a box, with the unit beside it if none was typed."""
    bare = text.replace(".", "").replace(",", "").isdecimal()
    return f"{text} {box.beside}" if box.beside and bare else box.shown(text)


def _text_in(box: Box, raw: Raw, name: str) -> str:
    """Return the text of a box; of ticks, all that are set, sorted."""
    if box.control == "ticks":
        return "\n".join(sorted(line for line in raw.get(name, []) if line.strip()))
    return _text(raw, name)


def _text(raw: Raw, name: str) -> str:
    return "\n".join(raw.get(name, [""])[-1].splitlines()).strip()


def _rows(raw: Raw) -> dict[tuple[str, str], _Row]:
    """Return the saved rows of a sheet by group and key, in order."""
    found = {}
    for group, form in GROUPS.items():
        for i in range(_total(raw, group)):
            prefix = f"{group}-{i}"
            if key := _text(raw, f"{prefix}-key"):
                texts = {name: _text_in(box, raw, f"{prefix}-{name}") for name, box in _boxes(form)}
                texts["was"] = _text(raw, f"{prefix}-was")
                found[group, key] = _Row(prefix, texts, bool(_text(raw, f"{prefix}-gone")))
    return found


def _total(raw: Raw, group: str) -> int:
    text = _text(raw, f"{group}-TOTAL_FORMS")
    return min(int(text), MAX_ROWS) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def _new_row(raw: Raw, group: str) -> str:
    """Add an empty row; return the prefix of its boxes' names."""
    count = _total(raw, group)
    raw[f"{group}-TOTAL_FORMS"] = [str(count + 1)]
    return f"{group}-{count}"


def _copy(source: Raw, name: str, to: Raw, new_name: str) -> None:
    """Copy a box with its answer; removes it if the source lacks it, as for a tick not set."""
    for ending in ("", "-meant"):
        if f"{name}{ending}" in source:
            to[f"{new_name}{ending}"] = list(source[f"{name}{ending}"])
        else:
            to.pop(f"{new_name}{ending}", None)
