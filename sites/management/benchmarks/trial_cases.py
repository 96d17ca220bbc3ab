"""Thousands of invented cases in all states, for trying and measuring lists.

They are copies of the demonstration's premises. Facts and kept decisions of a copy are those of its
original; names, addresses, numbers, states, owners and due days are made up.
"""

import datetime as dt
from collections import deque
from functools import cache

from django.db import models
from django.utils import timezone

from connections.facts.supply_number import check_digit
from sites.cases.models import Case, KeptDecision, Move
from sites.cases.moves import (
    ACTS,
    APPLICATION,
    COMPLETED,
    ENDED,
    LAPSED,
    NOTIFICATION,
    REFUSED,
    STATES,
    WITHDRAWN,
    Replayed,
    Standing,
    after,
    next_step,
    target,
)
from sites.cases.reading import is_for_engineer, urgency_of
from sites.desk.writing.demonstration import PASSWORD
from sites.management.benchmarks.many_premises import ORIGINALS, copy, copy_premises
from sites.people.models import Person
from sites.people.writing import create_person
from sites.premises.models import Party, Premises, SupplyNumber, Unit
from sites.premises.reading.site_rows import today

PEOPLE = 20
_ROLES = ("office", "office", "engineer", "office", "installer")
_FIRST = ("Ada", "Bram", "Clea", "Dov", "Edda", "Finn", "Greta", "Hal", "Ines", "Jory", "Kit",
          "Lena", "Mose", "Nell", "Orla", "Perry", "Quin")  # fmt: skip
_LAST = ("Alder", "Brook", "Crake", "Dunnock", "Elder", "Fieldfare", "Gannet", "Heron", "Ibis",
         "Jackdaw", "Kestrel", "Linnet", "Martin", "Nuthatch", "Osprey", "Plover", "Quail", "Rook",
         "Siskin", "Teal", "Vireo", "Wren", "Yaffle")  # fmt: skip
_STREETS = ("Reed Lane", "Mill Row", "Weir Street", "Sluice Road", "Fen Close", "Osier Way",
            "Staithe Hill", "Drove End", "Lock Gardens", "Ferry Walk", "Causeway")  # fmt: skip
_TOWNS = ("Fennhaven", "Marshby", "Little Staithe", "Overfleet", "Wickenholme")
_MAKERS = ("Fennhaven Works", "Osier Power", "Larkfield", "Staithe Electric")
_MODELS = ("H3.6", "H5", "S3.6", "B10", "X7 two")
# Letters that stand in no postcode's second half are left out.
_LETTERS = "ABDEFGHJLNPQRSTUWXYZ"

_OPEN = tuple(state for state in STATES if state not in ENDED)
_ENDED = (COMPLETED, COMPLETED, COMPLETED, WITHDRAWN, COMPLETED, REFUSED, COMPLETED, LAPSED)


class Trial:
    """What makes the copies differ from their originals."""

    def __init__(self) -> None:
        self.owners = people()
        kept = KeptDecision.objects.order_by("case")[:ORIGINALS]
        self.kept = {each.case_id: each for each in kept}
        self.today = today()
        self.now = timezone.now()

    def changed(self, row: models.Model, number: int) -> dict[str, object]:
        """Names, addresses and numbers of a copy."""
        if isinstance(row, Premises):
            return _premises(number)
        if isinstance(row, Party) and row.part == "customer":
            name = f"{_FIRST[number % 17]} {_LAST[number % 23]} (invented)"
            phone = f"01632 960 {number % 1000:03d}"
            return {"name": name, "phone": phone, "email": f"customer{number}@trial.example"}
        if isinstance(row, SupplyNumber):
            twelve = f"99{number * 7919 % 10**10:010d}"
            return {"value": f"{twelve}{check_digit(twelve)}"}
        if isinstance(row, Unit):
            maker = f"{_MAKERS[number % 4]} (invented)"
            serial = f"INV-{number:06d}-{row.place}"
            return {"maker": maker, "model": _MODELS[number % 5], "serials": serial}
        return {}

    def listed(self, original: Case, case: Case, number: int) -> tuple[list[Move], KeptDecision]:
        """Put a copy into its state, with the moves that lead there, and its kept decision."""
        state = _state(number)
        kept = copy(self.kept[original.pk])
        moves, at = [], Replayed()
        begun = self.now - dt.timedelta(days=30 + number % 700)
        path = _path(state, _way(state, number))
        for place, (act, to) in enumerate(path, start=1):
            moves.append(
                Move(
                    number=place,
                    from_state=at.state,
                    to_state=to,
                    act=act,
                    by=self.owners[number % PEOPLE],
                    at=begun + dt.timedelta(days=place),
                    reason="" if act == "begin" else "Invented.",
                )
            )
            at = after(at, act, to)
        case.state, case.way = at.state, at.way
        case.move_number, case.moved_at = len(moves), moves[-1].at
        case.owner = None if number % 11 == 0 else self.owners[number % PEOPLE]
        case.installer = self.owners[4 + number % 4 * 5] if number % 3 == 0 else None
        case.archived_at = self.now if state in ENDED and number % 4 == 0 else None
        standing = Standing(
            state=at.state, way=at.way, kind=kept.kind, stops=kept.stops,
            to_decide=kept.to_decide, missing=kept.missing, energised=kept.energised,
        )  # fmt: skip
        kept.next_step = next_step(standing)
        kept.due_on, kept.due_says = None, ""
        if state not in ENDED and number % 3:
            kept.due_on = self.today + dt.timedelta(days=number * 37 % 120 - 20)
            kept.due_says = "Invented day"
        case.urgency = urgency_of(kept, state)
        case.for_engineer = is_for_engineer(kept, state)
        return moves, kept


def make_trial_cases(wanted: int) -> None:
    """Add cases until there are `wanted` of them. There have to be some, with kept decisions."""
    trial = Trial()
    copy_premises(wanted, trial.changed, trial.listed)


def people() -> list[Person]:
    """The invented people of the trial, made once, with the password of the demonstration."""
    found = list(Person.objects.filter(email__endswith="@trial.example").order_by("pk"))
    for number in range(len(found), PEOPLE):
        name = f"{_FIRST[number % 17]} {_LAST[number % 23]} (invented)"
        email, roles = f"person{number}@trial.example", [_ROLES[number % len(_ROLES)]]
        found.append(create_person(email=email, name=name, password=PASSWORD, roles=roles, by=None))
    return found


def _premises(number: int) -> dict[str, object]:
    street = _STREETS[number % 11]
    letters = _LETTERS[number % 19] + _LETTERS[number // 19 % 19]
    return {
        "reference": f"TR-{number:06d}",
        "name": "",
        "address_lines": f"{number % 187 + 1} {street}\n{_TOWNS[number % 5]}",
        "postcode": f"ZZ{number % 97 + 1} {number // 97 % 10}{letters}",
        "on_date": None,
    }


def _state(number: int) -> str:
    """Three of ten cases are open, over all states alike; of the ended ones most are completed."""
    if number % 10 < 3:
        return _OPEN[number // 10 % len(_OPEN)]
    return _ENDED[number // 10 % len(_ENDED)]


def _way(state: str, number: int) -> str:
    return STATES[state].way or (NOTIFICATION if number % 2 else APPLICATION)


@cache
def _path(state: str, way: str) -> tuple[tuple[str, str], ...]:
    """The fewest moves that lead to a state on a way, by the table of moves."""
    ways: deque[tuple[tuple[tuple[str, str], ...], Replayed]] = deque([((), Replayed())])
    seen: set[tuple[str, str]] = set()
    while ways:
        path, at = ways.popleft()
        if at.state == state and at.way in ("", way):
            return path
        for act in ACTS:
            to = target(
                act, Standing(state=at.state, way=at.way, last_act=at.last_act, before=at.before)
            )
            if to is None or (act in ("withdraw", "lapse") and to != state):
                continue
            then = after(at, act, to)
            if then.way not in ("", way) or (then.state, then.way) in seen:
                continue
            seen.add((then.state, then.way))
            ways.append(((*path, (act, to)), then))
    raise ValueError(f"no moves lead to {state} by {way}")
