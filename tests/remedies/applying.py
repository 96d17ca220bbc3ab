"""Carrying out the changes of a remedy on a site file, as another program would."""

import copy
import json
import re
from itertools import pairwise
from typing import Any

from connections.facts.canonical import canonical
from connections.facts.decision import Remedy

_STEP = re.compile(r"([a-z_]+)(?:\[(\d+)\])?")


def applied(content: dict[str, Any], remedy: Remedy) -> dict[str, Any]:
    """The site file with every change made: a value put at its path, or taken out for null.

    A position one past the end of a list adds an entry; null at a position takes the entry out.
    """
    made = copy.deepcopy(content)
    # What another program sees is the decision file, so the changes go through JSON first.
    for change in json.loads(canonical(remedy))["change"]:
        _put(made, change["path"], change["to"])
    return made


def _put(made: dict[str, Any], path: str, value: Any) -> None:
    place: Any = made
    steps: list[str | int] = []
    for part in path.split("."):
        found = _STEP.fullmatch(part)
        assert found, path
        steps.append(found[1])
        if found[2] is not None:
            steps.append(int(found[2]))
    for step, following in pairwise(steps):
        if isinstance(step, str):
            empty: Any = [] if isinstance(following, int) else {}
            if place.get(step) is None:
                place[step] = empty
        place = place[step]
    last = steps[-1]
    if isinstance(last, int):
        assert last <= len(place), path
        if value is None:
            del place[last]
        elif last == len(place):
            place.append(value)
        else:
            place[last] = value
    elif value is None:
        place.pop(last, None)
    else:
        place[last] = value
