"""Power generating modules and their size classes.

Source: EREC G99 Issue 2, section 4, figures 4.2 to 4.4, 4.6 and annex A.4.2. Each synchronous unit
is its own module. All inverters and asynchronous units at one connection point form one power park
module, except storage with its own inverter commissioned before 1 September 2022.
"""

from connections.facts.decision import Module
from connections.rules.plant import Line
from connections.rules.table import Ready

_CLASSES = (("D", "size.d_from"), ("C", "size.c_from"), ("B", "size.b_from"), ("A", "size.a_from"))


def modules_of(lines: list[Line], ready: Ready) -> tuple[Module, ...]:
    """The modules of the counted plant; capacity and class are None if a rating is not known."""
    found: list[Module] = []
    park: list[Line] = []
    for line in lines:
        if line.kind == "synchronous":
            w = line.rated[0] if line.rated[0] == line.rated[1] else None
            for number in range(1, line.quantity[0] + 1 if line.quantity[0] <= 1000 else 2):
                name = line.unit.id if line.quantity[0] == 1 else f"{line.unit.id} no. {number}"
                found.append(Module((name,), "synchronous", w, size_class(w, ready)))
        elif not line.separate_storage:
            park.append(line)
    if park:
        known = all(
            line.rated[0] == line.rated[1] and line.quantity[0] == line.quantity[1] for line in park
        )
        w = sum(line.rated[0] * line.quantity[0] for line in park) if known else None
        names = tuple(line.unit.id for line in park)
        found.append(Module(names, "power-park", w, size_class(w, ready)))
    return tuple(found)


def size_class(w: int | None, ready: Ready) -> str | None:
    """A, B, C or D by registered capacity [W]; "below A" under the smallest.

    None if the capacity is not known, or the rulebook lacks size classes.
    """
    if w is None or any(key not in ready.book.values for _, key in _CLASSES):
        return None
    for name, key in _CLASSES:
        if w >= ready.book.whole(key):
            return name
    return "below A"
