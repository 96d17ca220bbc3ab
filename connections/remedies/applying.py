"""Apply the changes of a remedy to a plain site file, as another program would."""

import copy
import re
from collections.abc import Iterable
from itertools import pairwise
from typing import Any

import msgspec

from connections.facts.decision import Change

_STEP = re.compile(r"([a-z_]+)(?:\[(\d+)\])?")


def applied(content: dict[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """Apply every change, in order, to a copy of the plain site file.

    A value replaces what is at its path; null removes it, also a list entry. An index one past the
    end of a list appends. Raises ValueError for a path that leads nowhere.
    """
    made = copy.deepcopy(content)
    for change in changes:
        _put(made, change.path, msgspec.to_builtins(change.to))
    return made


def _put(made: dict[str, object], path: str, value: object) -> None:
    place: object = made
    steps = _steps(path)
    try:
        for step, following in pairwise(steps):
            if isinstance(place, dict) and isinstance(step, str) and place.get(step) is None:
                place[step] = [] if isinstance(following, int) else {}
            place = _inside(place, step)
        last = steps[-1]
        if isinstance(place, list) and isinstance(last, int):
            if value is None:
                del place[last]
            elif last == len(place):
                place.append(value)
            else:
                place[last] = value
        elif not isinstance(place, dict) or isinstance(last, int):
            raise TypeError
        elif value is None:
            place.pop(last, None)
        else:
            place[last] = value
    except (IndexError, KeyError, TypeError):
        raise ValueError(f"{path} leads nowhere in this site file") from None


def _inside(place: object, step: str | int) -> object:
    """What stands one step further in; raises KeyError, IndexError or TypeError."""
    if isinstance(place, list) and isinstance(step, int):
        return place[step]
    if isinstance(place, dict) and isinstance(step, str):
        return place[step]
    raise TypeError


def _steps(path: str) -> list[str | int]:
    steps: list[str | int] = []
    for part in path.split("."):
        found = _STEP.fullmatch(part)
        if found is None:
            raise ValueError(f"{path} is no path of a site file")
        steps.append(found[1])
        if found[2] is not None:
            steps.append(int(found[2]))
    return steps
