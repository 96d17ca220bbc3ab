"""The one table of a case: its states, the acts that move it, who may do them, and what they need.

Acts with `by_itself` follow from another act of the program: issuing, sending, an answer entered,
a question asked. All others are entered by hand on the page of the case.
"""

from collections.abc import Callable, Iterable, Mapping

from msgspec import Struct

from sites.people.models import ENGINEER, INSTALLER, MANAGER, OFFICE

APPLICATION, NOTIFICATION = "application", "notification"

PREPARING, ENGINEER_REVIEW = "preparing", "engineer-review"
READY_TO_SEND, SENT, CLOCK_RUNNING = "ready-to-send", "sent", "clock-running"
INFORMATION_WANTED, OFFER_RECEIVED = "information-wanted", "offer-received"
ACCEPTED, WAITING_FOR_WORKS = "accepted", "waiting-for-works"
READY_TO_INSTALL, BOOKED, COMMISSIONED = "ready-to-install", "booked", "commissioned"
CONFIRMATION_SENT, NOTIFIED, COMPLETED = "confirmation-sent", "notified", "completed"
WITHDRAWN, REFUSED, LAPSED = "withdrawn", "refused", "lapsed"


class State(Struct, frozen=True):
    """A state in words. `way` is the only way that has it, empty where both have; `tone` the colour
    that repeats the words."""

    says: str
    way: str = ""
    tone: str = "plain"


STATES: Mapping[str, State] = {
    PREPARING: State("Preparing"),
    ENGINEER_REVIEW: State("Engineer review", tone="decide"),
    READY_TO_SEND: State("Ready to send", APPLICATION, "done"),
    SENT: State("Sent", APPLICATION),
    CLOCK_RUNNING: State("Clock running", APPLICATION),
    INFORMATION_WANTED: State("Information wanted", APPLICATION, "decide"),
    OFFER_RECEIVED: State("Offer received", APPLICATION, "decide"),
    ACCEPTED: State("Accepted", APPLICATION, "done"),
    WAITING_FOR_WORKS: State("Waiting for network works", APPLICATION),
    READY_TO_INSTALL: State("Ready to install", NOTIFICATION, "done"),
    BOOKED: State("Booked"),
    COMMISSIONED: State("Commissioned"),
    CONFIRMATION_SENT: State("Confirmation sent", APPLICATION),
    NOTIFIED: State("Notified", NOTIFICATION),
    COMPLETED: State("Completed", tone="done"),
    WITHDRAWN: State("Withdrawn"),
    REFUSED: State("Refused", APPLICATION, "stops"),
    LAPSED: State("Lapsed", APPLICATION, "stops"),
}
"""Every state, in the order of a case's life."""

ENDED = frozenset({COMPLETED, WITHDRAWN, REFUSED, LAPSED})
BEFORE_AGREEMENT = frozenset(
    {PREPARING, ENGINEER_REVIEW, READY_TO_SEND, SENT, CLOCK_RUNNING, INFORMATION_WANTED,
     OFFER_RECEIVED}
)  # fmt: skip
"""States in which the operator has agreed to nothing."""
AGREED = frozenset(
    {ACCEPTED, WAITING_FOR_WORKS, BOOKED, COMMISSIONED, CONFIRMATION_SENT, COMPLETED}
)
OVER = ENDED | {COMMISSIONED, CONFIRMATION_SENT, NOTIFIED}
"""States after which another case of the premises may begin."""
INSTALLED = frozenset({COMMISSIONED, NOTIFIED, COMPLETED})
WITH_OPERATOR = frozenset({SENT, CLOCK_RUNNING, INFORMATION_WANTED})

ALL = frozenset({MANAGER, OFFICE, ENGINEER, INSTALLER})
DESK = frozenset({MANAGER, OFFICE, ENGINEER})
SIGNS = frozenset({ENGINEER})
LEADS = frozenset({MANAGER, ENGINEER})

STOPS, TOLD = "stops", "told"
"""Of plant that runs without an agreement: it stops the case, or the operator was told."""

BACK, INSTALLABLE = "the state before", "the state before a booking"
"""As targets: the state from which the last move came; that from which the work can be booked."""


class Act(Struct, frozen=True):
    """One act: its button, what it did in the history, and the states it leads from and to.

    `needs` are keys of NEEDS. With `reason` nobody does it by hand without saying why, and
    `asks` is the question of that box. `day` asks for the day on which it happened. `way` restricts
    it to cases of one way.
    """

    says: str
    did: str
    to: Mapping[str, str]
    who: frozenset[str] = DESK
    needs: tuple[str, ...] = ()
    reason: bool = False
    asks: str = "Why"
    day: str = ""
    by_itself: bool = False
    way: str = ""


def _to(state: str, *froms: str) -> Mapping[str, str]:
    return dict.fromkeys(froms, state)


ACTS: Mapping[str, Act] = {
    "begin": Act("Begin", "began the case", {"": PREPARING}, by_itself=True),
    "to-engineer": Act(
        "Send to the engineer",
        "sent the case to the engineer",
        _to(ENGINEER_REVIEW, PREPARING),
        needs=("decided",),
    ),
    "to-office": Act(
        "Back to the office",
        "sent the case back to the office",
        _to(PREPARING, ENGINEER_REVIEW),
        LEADS,
        reason=True,
        asks="What the office is to do",
    ),
    "issue": Act(
        "Issue the pack",
        "issued the application",
        _to(
            READY_TO_SEND,
            PREPARING,
            ENGINEER_REVIEW,
            READY_TO_SEND,
            INFORMATION_WANTED,
            OFFER_RECEIVED,
        ),
        SIGNS,
        by_itself=True,
    ),
    "clear": Act(
        "Ready to install",
        "found the case ready to install",
        _to(READY_TO_INSTALL, PREPARING, ENGINEER_REVIEW),
        SIGNS,
        needs=("notification", "clear", "record"),
    ),
    "send": Act(
        "Sent to the operator",
        "sent the application",
        _to(SENT, READY_TO_SEND),
        by_itself=True,
    ),
    "not-sent": Act(
        "It did not arrive",
        "noted that it did not arrive",
        {SENT: READY_TO_SEND, CONFIRMATION_SENT: COMMISSIONED, NOTIFIED: COMMISSIONED},
        by_itself=True,
    ),
    "acknowledge": Act(
        "The operator acknowledged it",
        "noted that the operator acknowledged it",
        {state: state for state in (SENT, CONFIRMATION_SENT, NOTIFIED)},
        reason=True,
        asks="Its reference, and what it wrote",
        day="Acknowledged on",
    ),
    "start-clock": Act(
        "The application is complete",
        "noted that the operator has a complete application; its clock runs",
        _to(CLOCK_RUNNING, SENT, INFORMATION_WANTED),
        reason=True,
        asks="What the operator wrote",
        day="Complete on",
    ),
    "want": Act(
        "The operator wants information",
        "noted that the operator wants information; its clock stops",
        _to(INFORMATION_WANTED, SENT, CLOCK_RUNNING),
        by_itself=True,
    ),
    "pay": Act(
        "The operator’s fee is paid",
        "noted that the operator’s fee for the application is paid",
        {state: state for state in (SENT, CLOCK_RUNNING, INFORMATION_WANTED)},
        reason=True,
        asks="What was paid, and under which reference",
        day="Paid on",
        way=APPLICATION,
    ),
    "offer": Act(
        "The operator made an offer",
        "noted the operator’s offer",
        _to(OFFER_RECEIVED, SENT, CLOCK_RUNNING, INFORMATION_WANTED),
        by_itself=True,
    ),
    "agree": Act(
        "The operator agreed",
        "noted that the operator agreed",
        _to(ACCEPTED, SENT, CLOCK_RUNNING, INFORMATION_WANTED, OFFER_RECEIVED),
        by_itself=True,
    ),
    "refuse": Act(
        "The operator refused",
        "noted that the operator refused",
        _to(REFUSED, SENT, CLOCK_RUNNING, INFORMATION_WANTED, OFFER_RECEIVED),
        by_itself=True,
    ),
    "accept": Act(
        "Accept the offer",
        "accepted the offer",
        _to(ACCEPTED, OFFER_RECEIVED),
        needs=("clear",),
        by_itself=True,
    ),
    "works": Act(
        "Wait for network works",
        "noted that the network is worked on first",
        _to(WAITING_FOR_WORKS, ACCEPTED),
        by_itself=True,
    ),
    "works-done": Act(
        "The network works are done",
        "noted that the network works are done",
        _to(ACCEPTED, WAITING_FOR_WORKS),
        needs=("works",),
        by_itself=True,
    ),
    "book": Act(
        "Book the work",
        "booked the work",
        _to(BOOKED, ACCEPTED, READY_TO_INSTALL, WAITING_FOR_WORKS),
        needs=("same-way", "clear", "before-install"),
        reason=True,
        asks="For which day, and whom",
    ),
    "unbook": Act(
        "Cancel the booking",
        "cancelled the booking",
        {BOOKED: INSTALLABLE},
        reason=True,
    ),
    "commission": Act(
        "Commissioned",
        "commissioned the plant",
        _to(COMMISSIONED, BOOKED, ACCEPTED, READY_TO_INSTALL),
        ALL,
        needs=("energised", "before-install", "before-energising", "works"),
        by_itself=True,
    ),
    "not-commissioned": Act(
        "It is not commissioned",
        "took back that the plant is commissioned",
        _to(BOOKED, COMMISSIONED),
        reason=True,
    ),
    "energised-early": Act(
        "It runs without an agreement",
        "noted that plant runs without the operator’s agreement",
        {state: state for state in STATES if state in BEFORE_AGREEMENT | {REFUSED, LAPSED}},
        ALL,
        needs=("application",),
        reason=True,
        asks="Since when, and how it came about",
    ),
    "early-told": Act(
        "The operator knows that it runs",
        "told the operator that plant runs without its agreement",
        {state: state for state in STATES if state in BEFORE_AGREEMENT | {REFUSED, LAPSED}},
        LEADS,
        needs=("early",),
        reason=True,
        asks="When and how the operator was told, and what it answered",
    ),
    "issue-after": Act(
        "Issue the pack",
        "issued the pack that tells of the work",
        {state: state for state in (COMMISSIONED, CONFIRMATION_SENT, NOTIFIED)},
        SIGNS,
        by_itself=True,
    ),
    "confirm": Act(
        "Confirmation sent",
        "sent the confirmation",
        _to(CONFIRMATION_SENT, COMMISSIONED),
        needs=("told",),
        by_itself=True,
        way=APPLICATION,
    ),
    "notify": Act(
        "Notification sent",
        "sent the notification",
        _to(NOTIFIED, COMMISSIONED),
        needs=("told",),
        by_itself=True,
        way=NOTIFICATION,
    ),
    "complete": Act(
        "Complete the case",
        "completed the case",
        _to(COMPLETED, CONFIRMATION_SENT, NOTIFIED),
        needs=("after",),
        reason=True,
        asks="What the operator answered",
    ),
    "correct": Act(
        "Back to preparing",
        "took the case back to preparing",
        _to(
            PREPARING,
            READY_TO_SEND,
            *sorted(WITH_OPERATOR),
            OFFER_RECEIVED,
            ACCEPTED,
            WAITING_FOR_WORKS,
            READY_TO_INSTALL,
            BOOKED,
        ),
        reason=True,
        asks="What is to change, and who knows of it",
    ),
    "lapse": Act(
        "The offer or agreement lapsed",
        "noted that the offer or agreement lapsed",
        _to(LAPSED, OFFER_RECEIVED, ACCEPTED, WAITING_FOR_WORKS, BOOKED),
        reason=True,
        way=APPLICATION,
    ),
    "again": Act(
        "Prepare it again",
        "began to prepare the case again",
        _to(PREPARING, REFUSED, LAPSED),
        reason=True,
    ),
    "withdraw": Act(
        "Withdraw the case",
        "withdrew the case",
        _to(WITHDRAWN, *(state for state in STATES if state not in ENDED)),
        reason=True,
    ),
    "undo": Act(
        "Take it back",
        "took back the last step",
        dict.fromkeys(
            (WITHDRAWN, INFORMATION_WANTED, OFFER_RECEIVED, ACCEPTED, REFUSED, LAPSED), BACK
        ),
    ),
}
"""Every act by its key."""

UNDOABLE = frozenset({"withdraw", "want", "offer", "agree", "accept", "refuse", "lapse"})
"""Last acts that "undo" takes back."""

NEEDS: Mapping[str, str] = {
    "decided": "The facts that settle the procedure",
    "application": "A procedure that asks before the work",
    "notification": "A procedure that only notifies",
    "clear": "Every stop cleared, every finding decided, every fact known",
    "same-way": "The procedure under which the case was prepared",
    "energised": "The commissioning date of every proposed unit",
    "early": "A note that plant runs without an agreement",
    "told": "The pack that tells of the work, issued",
    "before-install": "Every condition that the operator sets before installing, met",
    "before-energising": "Every condition that the operator sets before energising, met",
    "after": "Every condition that the operator sets for after the work, met",
    "works": "The network works, done",
    "record": "The operator’s answer on its record of what is there",
}
"""What an act needs, in words."""


class Standing(Struct, frozen=True):
    """What the needs of acts are judged by. `kind` is that of the pack that would follow; counts
    are of the kept decision; `last_act` that of the last move, `before` the state it came from;
    `told` says that the pack that tells of the work was issued since commissioning; `to_install`,
    `to_energise` and `afterwards` count open conditions of the operator, `works` network works,
    `queries` those on the operator's record."""

    state: str
    way: str = ""
    kind: str = ""
    stops: int = 0
    to_decide: int = 0
    missing: int = 0
    energised: bool = False
    to_install: int = 0
    to_energise: int = 0
    afterwards: int = 0
    works: int = 0
    queries: int = 0
    told: bool = False
    early: str = ""
    last_act: str = ""
    before: str = ""


def target(act: str, standing: Standing) -> str | None:
    """The state that an act leads to from where the case is; None where it leads nowhere."""
    row = ACTS[act]
    found = row.to.get(standing.state)
    if found is None or (row.way and row.way != standing.way):
        return None
    if act == "undo" and standing.last_act not in UNDOABLE:
        return None
    if found == BACK:
        return standing.before or None
    if found == INSTALLABLE:
        return READY_TO_INSTALL if standing.way == NOTIFICATION else ACCEPTED
    return found


def lacking(act: str, standing: Standing) -> tuple[str, ...]:
    """What an act needs and has not, in words."""
    return tuple(NEEDS[need] for need in ACTS[act].needs if not _MET[need](standing))


def possible(standing: Standing, roles: Iterable[str]) -> list[str]:
    """The acts that somebody with these roles may do by hand now, in the order of the table."""
    held = frozenset(roles)
    return [
        key
        for key, act in ACTS.items()
        if not act.by_itself and act.who & held and target(key, standing) is not None
    ]


def may_issue(standing: Standing) -> str:
    """Why nothing may be issued in this state, in a sentence; empty where it may."""
    act = "issue-after" if standing.state in ACTS["issue-after"].to else "issue"
    if standing.kind in ("notification", "decommission"):
        if act == "issue-after" or standing.kind == "decommission":
            return ""
        return "A notification tells of work that is done. Enter the commissioning first."
    if act == "issue" and standing.queries:
        return "The operator has not answered on its record of what is there. Wait for its answer."
    if target(act, standing) is not None:
        return ""
    return f"{_NOT_NOW[standing.state]} Nothing is issued now."


def is_confirmed(way: str, state: str) -> bool:
    """Whether the pack of a case confirms agreed work, instead of applying for it."""
    return way == APPLICATION and state in (COMMISSIONED, CONFIRMATION_SENT, COMPLETED)


_MET: Mapping[str, Callable[[Standing], bool]] = {
    "decided": lambda s: s.kind not in ("", "assessment"),
    "application": lambda s: s.kind == APPLICATION,
    "notification": lambda s: s.kind == NOTIFICATION,
    "clear": lambda s: not (s.stops or s.to_decide or s.missing),
    "same-way": lambda s: s.kind == s.way,
    "energised": lambda s: s.energised,
    "early": lambda s: s.early == STOPS,
    "told": lambda s: s.told,
    "before-install": lambda s: not s.to_install,
    "before-energising": lambda s: not s.to_energise,
    "after": lambda s: not s.afterwards,
    "works": lambda s: not s.works,
    "record": lambda s: not s.queries,
}

_NOT_NOW = {
    SENT: "The application is with the operator. To change it, take the case back to preparing.",
    CLOCK_RUNNING: "The application is with the operator. To change it, take the case back to "
    "preparing.",
    ACCEPTED: "The operator has agreed. To ask for something else, take the case back to "
    "preparing.",
    WAITING_FOR_WORKS: "The operator has agreed and works on the network first.",
    READY_TO_INSTALL: "The plant is not installed yet.",
    BOOKED: "The plant is not commissioned yet.",
    COMPLETED: "The case is completed.",
    WITHDRAWN: "The case is withdrawn.",
    REFUSED: "The operator refused. Prepare the case again first.",
    LAPSED: "The agreement lapsed. Prepare the case again first.",
}


NEXT_STEPS: Mapping[str, str] = {
    "fill-in": "Fill in what is missing",
    "clear-stops": "Clear what stops it",
    "answer-question": "Answer the engineer’s question",
    "send-to-engineer": "Send to the engineer",
    "decide": "Decide the findings",
    "issue": "Issue the pack",
    "clear-to-install": "Say that it is ready to install",
    "send": "Send the pack",
    "wait-for-clock": "Wait until the operator says that it is complete",
    "wait-for-answer": "Wait for the operator’s answer",
    "inform": "Give the operator what it wants",
    "answer-offer": "Accept the offer, or change the design",
    "wait-for-works": "Wait for the network works",
    "book": "Book the work",
    "install": "Install and commission",
    "issue-confirmation": "Issue the confirmation",
    "issue-notification": "Issue the notification",
    "confirm": "Send the confirmation",
    "notify": "Send the notification",
    "complete": "Complete the case",
    "prepare-again": "Prepare it again, or leave it",
    "nothing": "Nothing is left to do",
}
"""Every next step of a case, in words."""

_NEXT_IN = {
    READY_TO_SEND: "send",
    SENT: "wait-for-clock",
    CLOCK_RUNNING: "wait-for-answer",
    INFORMATION_WANTED: "inform",
    OFFER_RECEIVED: "answer-offer",
    ACCEPTED: "book",
    WAITING_FOR_WORKS: "wait-for-works",
    READY_TO_INSTALL: "book",
    BOOKED: "install",
    CONFIRMATION_SENT: "complete",
    NOTIFIED: "complete",
    REFUSED: "prepare-again",
    LAPSED: "prepare-again",
    COMPLETED: "nothing",
    WITHDRAWN: "nothing",
}


def next_step(standing: Standing, *, questions: int = 0) -> str:
    """The key of the next step; `questions` are those that wait for the office."""
    if without_agreement(standing):
        return "clear-stops"
    if standing.state in (PREPARING, ENGINEER_REVIEW):
        return _next_while_prepared(standing, questions)
    if standing.state == COMMISSIONED:
        notice = standing.way == NOTIFICATION
        if standing.told:
            return "notify" if notice else "confirm"
        return "issue-notification" if notice else "issue-confirmation"
    return _NEXT_IN[standing.state]


def _next_while_prepared(standing: Standing, questions: int) -> str:
    if questions:
        return "answer-question"
    if standing.missing:
        return "fill-in"
    if standing.stops or standing.kind in ("", "assessment"):
        return "clear-stops"
    if standing.state == PREPARING:
        return "send-to-engineer"
    if standing.to_decide:
        return "decide"
    return "clear-to-install" if standing.kind == NOTIFICATION else "issue"


def without_agreement(standing: Standing) -> bool:
    """Whether plant runs without the agreement that it needs, and the operator was not told."""
    if standing.way == NOTIFICATION and standing.state in INSTALLED:
        return standing.kind == APPLICATION
    return standing.early == STOPS and standing.state not in AGREED


class Replayed(Struct, frozen=True):
    """What follows from all moves of a case: its state and way, and what `Case.early` holds."""

    state: str = ""
    way: str = ""
    early: str = ""
    last_act: str = ""
    before: str = ""


def after(was: Replayed, act: str, to: str) -> Replayed:
    """What follows from one more move."""
    way = "" if to in (PREPARING, ENGINEER_REVIEW) else STATES[to].way or was.way
    early = {"energised-early": STOPS, "early-told": TOLD}.get(act, was.early)
    return Replayed(to, way, early, act, was.state)


def replay(moves: Iterable[tuple[str, str, str]]) -> Replayed:
    """What follows from moves (act, from, to) in order.

    Raises ValueError for a move that does not begin where the one before ended, or that is not in
    the table.
    """
    now = Replayed()
    for act, came_from, to in moves:
        if came_from != now.state:
            raise ValueError(f"{act} begins at {came_from!r} where the case is {now.state!r}")
        at = Standing(state=now.state, way=now.way, last_act=now.last_act, before=now.before)
        if target(act, at) != to:
            raise ValueError(f"{act} does not lead from {now.state!r} to {to!r}")
        now = after(now, act, to)
    return now
