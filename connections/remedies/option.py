"""Where a search begins, and a change that it found worth telling."""

from msgspec import Struct

from connections.facts.decision import Change
from connections.facts.site import EnergySource, Site, TypeTested
from connections.remedies.counting import CountedRules
from connections.remedies.edit import Edit
from connections.remedies.proof import Proof, prove
from connections.rules.decide import Decided


class Model(Struct, frozen=True):
    """An inverter of the firm's catalogue. Ratings in W of one unit; `phases` how many it feeds."""

    name: str
    source: EnergySource
    rated_w: int
    phases: int
    design_w: int | None = None
    type_tested: TypeTested | None = None
    standard: str = ""


class Start(Struct, frozen=True):
    """What a search starts from: the site, what was decided, and whom to ask.

    `before` is the decision that a remedy has to better. In a search for the second of two
    changes, `site` has the first one in it already.
    """

    site: Site
    before: Decided
    rules: CountedRules
    catalogue: tuple[Model, ...] = ()

    def prove(self, changed: Site) -> Proof | None:
        """The proof of a change against the decision that was there at first."""
        return prove(self.before, changed, self.rules)


class Option(Struct, frozen=True):
    """A change with its proof.

    `what` is the change as the beginning of a sentence, `name` the same in a few words for what is
    made of it; `notes` are sentences on what it costs or asks for. `competent` marks a change that
    touches earthing, phases or a supply.
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
    """The option that an edit makes, or None where the rules don't prove it."""
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
