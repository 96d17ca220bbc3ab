"""The table of moves by itself: every walk through it can be replayed, and nothing hangs."""

from itertools import pairwise

import hypothesis.strategies as st
import pytest
from hypothesis import given

from sites.cases.moves import (
    ACTS,
    AGREED,
    ALL,
    BACK,
    COMPLETED,
    ENDED,
    INSTALLABLE,
    NEEDS,
    NEXT_STEPS,
    REFUSED,
    STATES,
    STOPS,
    WITHDRAWN,
    Replayed,
    Standing,
    after,
    lacking,
    may_issue,
    next_step,
    possible,
    replay,
    target,
    without_agreement,
)

KINDS = ("", "assessment", "application", "notification", "decommission")


def at(now: Replayed, kind: str = "application", **more: object) -> Standing:
    return Standing(
        state=now.state,
        way=now.way,
        kind=kind,
        early=now.early,
        last_act=now.last_act,
        before=now.before,
        **more,  # type: ignore[arg-type]
    )


def walk(choose) -> list[tuple[str, str, str]]:
    """Moves from the beginning, each chosen among the acts that lead somewhere."""
    now, moves = Replayed(), []
    for _ in range(12):
        ways = [(act, to) for act in ACTS if (to := target(act, at(now))) is not None]
        if not ways:
            break
        act, to = choose(ways)
        moves.append((act, now.state, to))
        now = after(now, act, to)
    return moves


@given(st.data())
def test_every_walk_is_replayed_to_its_state_and_each_pair_is_in_the_table(data):
    moves = walk(lambda ways: data.draw(st.sampled_from(ways)))
    assert moves[0] == ("begin", "", "preparing")
    assert replay(moves).state == moves[-1][2]
    for (_act, _from, to), (_next, begins, _to) in pairwise(moves):
        assert begins == to
    for act, came_from, to in moves:
        assert ACTS[act].to[came_from] in (to, BACK, INSTALLABLE)


@given(st.data())
def test_a_move_left_out_is_noticed(data):
    moves = walk(lambda ways: data.draw(st.sampled_from(ways)))
    gaps = [n for n, (_act, came_from, to) in enumerate(moves[:-1]) if came_from != to]
    gone = data.draw(st.sampled_from(gaps)) if gaps else None
    if gone is not None:
        with pytest.raises(ValueError, match=r"begins at|does not lead"):
            replay([*moves[:gone], *moves[gone + 1 :]])


@given(
    st.builds(
        Standing,
        state=st.sampled_from(sorted(STATES)),
        way=st.sampled_from(("", "application", "notification")),
        kind=st.sampled_from(KINDS),
        stops=st.integers(0, 2),
        to_decide=st.integers(0, 2),
        missing=st.integers(0, 2),
        energised=st.booleans(),
        told=st.booleans(),
        early=st.sampled_from(("", "stops", "told")),
    ),
    st.integers(0, 1),
)
def test_there_is_always_a_next_step_and_a_way_out(standing, questions):
    assert next_step(standing, questions=questions) in NEXT_STEPS
    if standing.state != COMPLETED:
        before = Standing(state=standing.state, last_act="withdraw", before="preparing")
        assert possible(before, ["engineer", "office", "manager"])
    for act in ACTS:
        assert set(lacking(act, standing)) <= set(NEEDS.values())
    if standing.state in ENDED and standing.kind == "application":
        assert may_issue(standing)
    if standing.state in AGREED and standing.way == "application":
        assert not without_agreement(standing)


def test_every_state_is_reached_and_every_act_is_somebodys():
    reached = {to for act in ACTS.values() for to in act.to.values()}
    assert reached - {BACK, INSTALLABLE} == set(STATES)
    assert {state for act in ACTS.values() for state in act.to} - {""} == set(STATES) - {COMPLETED}
    assert all(act.who and act.who <= ALL for act in ACTS.values())


@pytest.mark.parametrize(
    ("state", "way", "kind", "says"),
    [
        ("preparing", "", "application", ""),
        ("ready-to-send", "application", "application", ""),
        ("offer-received", "application", "application", ""),
        ("commissioned", "application", "application", ""),
        ("commissioned", "notification", "notification", ""),
        ("clock-running", "application", "application", "is with the operator"),
        ("accepted", "application", "application", "The operator has agreed"),
        ("withdrawn", "", "application", "is withdrawn"),
        ("preparing", "", "notification", "Enter the commissioning first"),
        ("booked", "notification", "notification", "Enter the commissioning first"),
    ],
)
def test_the_state_rules_what_may_be_issued(state, way, kind, says):
    found = may_issue(Standing(state=state, way=way, kind=kind))
    assert (says in found) if says else found == ""


def test_plant_that_runs_without_agreement_stops_until_the_operator_knows_or_agrees():
    early = Standing(state="clock-running", way="application", kind="application", early=STOPS)
    assert without_agreement(early)
    assert next_step(early) == "clear-stops"
    assert target("early-told", early) == "clock-running"
    assert without_agreement(Standing(state=REFUSED, way="application", early=STOPS))
    assert not without_agreement(Standing(state="accepted", way="application", early=STOPS))
    # Prepared as a notification; the plant that was fitted needs an agreement after all.
    assert without_agreement(Standing(state="commissioned", way="notification", kind="application"))


def test_a_withdrawal_is_taken_back_to_where_it_came_from_and_only_once():
    now = Standing(state=WITHDRAWN, last_act="withdraw", before="accepted", way="application")
    assert target("undo", now) == "accepted"
    assert target("undo", Standing(state="accepted", last_act="undo", before=WITHDRAWN)) is None
    # A booking that is cancelled leads back to where the work can be booked, by its way.
    assert target("unbook", Standing(state="booked", way="notification")) == "ready-to-install"
    assert target("unbook", Standing(state="booked", way="application")) == "accepted"
