"""What a change after issuing asks for: the same papers, to notify again, or to apply again."""

from collections.abc import Iterator

from msgspec import UNSET, Struct, to_builtins

from connections.facts.decision import Decision
from connections.facts.defaults import is_fully_tested
from connections.facts.site import Site
from connections.pack.content import Change, Decided
from connections.pack.figures import quantity
from connections.pack.pack_error import PackError
from sites.cases.models import Application
from sites.cases.moves import (
    APPLICATION,
    CONFIRMATION_SENT,
    NOTIFICATION,
    NOTIFIED,
    PREPARING,
    READY_TO_SEND,
)
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import draft_of, newest_pack, pack_of

SAME, NOTIFY, APPLY, UNKNOWN = "same", "notify", "apply", "unknown"
SAYS = {
    SAME: "The same papers hold",
    NOTIFY: "Notify again",
    APPLY: "Apply again",
    UNKNOWN: "This can’t be told yet",
}
DOES = {
    SAME: "Nothing that the operator was told of the plant has changed.",
    NOTIFY: "Issue a new revision and send it. No new agreement is needed for what changed.",
    APPLY: "Take the case back to preparing, issue a new revision, and wait for a new answer.",
    UNKNOWN: "Settle first what the sheet lacks.",
}
NO_SOURCE = (
    "That equal plant of another model is only notified is common practice, without a source: ask "
    "the operator where in doubt."
)
_BESIDE = frozenset({"Rulebook", "Title", "Data for"})
"""Changes of a pack that are none of the plant."""


class Swap(Struct, frozen=True):
    """What a change asks for and why, with all changes since the newest revision.

    `void` are issued revisions that no longer describe the plant; `note` says what has no source.
    """

    verdict: str
    newest: FrozenPack
    why: tuple[str, ...]
    changes: tuple[Change, ...]
    void: tuple[FrozenPack, ...] = ()
    note: str = ""

    @property
    def says(self) -> str:
        """The verdict in words."""
        return SAYS[self.verdict]

    @property
    def does(self) -> str:
        """What to do."""
        return DOES[self.verdict]


def swap_of(application: Application) -> Swap | None:
    """Compare the present facts with the newest issued revision; None where nothing is issued."""
    newest = newest_pack(application)
    if newest is None:
        return None
    try:
        frozen = pack_of(newest)
    except PackError as fault:
        return Swap(UNKNOWN, newest, (fault.message,), ())
    draft = draft_of(application)
    case, decided = draft.case, draft.decided
    if case is None:
        return None
    if draft.pack is None or decided is None or decided.decision is None or decided.site is None:
        return Swap(UNKNOWN, newest, (draft.fault,), ())
    told = tuple(each for each in draft.changes if each.fact not in _BESIDE)
    was, now = frozen.technical.decided, decided.decision
    plant = _plant(frozen.technical.site) != _plant(decided.site)
    grown = tuple(_grown(frozen.procedure.title, was, now, frozen.technical.site, decided.site))
    if not plant and not grown:
        return Swap(SAME, newest, (), told)
    packs = tuple(FrozenPack.objects.filter(application=application).order_by("revision"))
    before_sending = case.state in (PREPARING, READY_TO_SEND)
    if case.way == NOTIFICATION or draft.pack.procedure.kind == "notification":
        why = grown or ("The plant differs from what the operator was told of.",)
        if case.way == APPLICATION and case.state not in (CONFIRMATION_SENT, NOTIFIED):
            why = (*why, "The plant as it is now is only notified.")
        return Swap(NOTIFY, newest, why, told, packs)
    if grown:
        return Swap(APPLY, newest, grown, told, packs)
    why = ("Capacity, phases, export and type tests are no more than what was applied for.",)
    if before_sending:
        why = (*why, "Nothing was sent yet: the new revision takes the place of the old one.")
    return Swap(NOTIFY, newest, why, told, packs, NO_SOURCE)


def _grown(title: str, was: Decided, now: Decision, before: Site, after: Site) -> Iterator[str]:
    """Why the operator must agree once more, in sentences."""
    if was.procedure != now.procedure.key:
        yield f"The procedure is another: “{now.procedure.title}”, and was “{title}”."
    for what, old, new in (
        ("registered capacity", was.total_w, now.total_w),
        ("export", was.export_w, now.export_w),
    ):
        if old is not None and new is not None and new > old:
            yield f"The {what} grows from {quantity(old, 'W')} to {quantity(new, 'W')}."
    for phase, amps in now.per_phase_ma.items():
        old = was.per_phase_ma.get(phase)
        if old is not None and amps is not None and amps > old:
            yield f"{phase} carries more: {quantity(amps, 'mA')}, and {quantity(old, 'mA')} before."
    if _tested(before) and not _tested(after):
        yield "A unit is not fully type tested, and all were in what was applied for."


def _tested(site: Site) -> bool:
    return all(is_fully_tested(unit) for unit in site.units)


def _plant(site: Site) -> object:
    """What the operator is told of the plant: no days, no serial numbers, no parties."""
    return _bare(
        to_builtins(
            (
                *(
                    part if part is not UNSET else ()
                    for part in (site.units, site.arrays, site.storage, site.limits)
                ),
            )
        )
    )


_OF_THE_WORK = frozenset({"status", "commissioned_on", "planned_on", "serials"})


def _bare(part: object) -> object:
    if isinstance(part, dict):
        return {name: _bare(each) for name, each in part.items() if name not in _OF_THE_WORK}
    if isinstance(part, list | tuple):
        return [_bare(each) for each in part]
    return part
