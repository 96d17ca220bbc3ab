"""The start of a search, and a change worth telling."""

from msgspec import Struct

from connections.facts.decision import Change
from connections.facts.site import Certificate, EnergySource, Site
from connections.remedies.counting import CountedRules
from connections.remedies.edit import Edit
from connections.remedies.proof import Proof, prove
from connections.rules.decide import Decided


class Model(Struct, frozen=True):
    """A catalogue inverter. Ratings in W of one unit; `phases` is the number of phases."""

    name: str
    source: EnergySource
    rated_w: int
    phases: int
    design_w: int | None = None
    standards: tuple[Certificate, ...] = ()


class Start(Struct, frozen=True):
    """The start of a search: the site, its decision, and the rules to ask.

    A remedy must better the decision `before`. In a search for the second of two changes, `site`
    already has the first one.
    """

    site: Site
    before: Decided
    rules: CountedRules
    catalogue: tuple[Model, ...] = ()

    def prove(self, changed: Site) -> Proof | None:
        """Prove a change against the original decision."""
        return prove(self.before, changed, self.rules)


class Option(Struct, frozen=True):
    """A change with its proof.

    `what` begins a sentence about the change, `name` says the same in a few words; `notes` are
    sentences on its cost or conditions. `competent` marks a change to earthing, phases or a supply.
    """

    kind: str
    what: str
    name: str
    change: tuple[Change, ...]
    proof: Proof
    takes_out: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    competent: bool = False
    fits: tuple[str, ...] = ()


def option(
    start: Start,
    kind: str,
    what: str,
    edit: Edit,
    *,
    name: str,
    notes: tuple[str, ...] = (),
    competent: bool = False,
    fits: tuple[str, ...] = (),
) -> Option | None:
    """The option that an edit makes, or None if the rules do not prove it."""
    proof = start.prove(edit.site)
    if proof is None:
        return None
    return Option(
        kind=kind,
        what=what,
        name=name,
        change=edit.changes,
        proof=proof,
        takes_out=tuple(edit.takes_out),
        notes=notes,
        competent=competent,
        fits=fits,
    )
