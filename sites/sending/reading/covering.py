"""Covering words, as a proposal that people change."""

from sites.cases.models import Case
from sites.packs.models import FrozenPack
from sites.people.models import Firm

_WHAT = {
    "notification": "notification of plant that was connected",
    "confirmation": "confirmation that agreed plant is commissioned",
    "decommission": "notice that plant was taken out",
}


def subject_of(pack: FrozenPack, kind: str) -> str:
    """The subject of a mail with a pack."""
    what = _WHAT.get(kind, "application to connect plant")
    return f"{pack.reference}, revision {pack.revision}: {what}"


def words_of(case: Case, pack: FrozenPack, kind: str) -> str:
    """Covering words with reference, premises, and what is asked back."""
    firm = Firm.objects.first()
    premises = case.premises
    place = ", ".join(premises.address_lines.splitlines())
    asks = "Please send us your reference"
    if kind not in _WHAT:
        asks += ", and tell us the day from which the application is complete"
    return "\n".join(
        (
            f"This is our {_WHAT.get(kind, 'application to connect plant')}.",
            "",
            f"Our reference: {pack.reference}, revision {pack.revision}",
            f"Premises: {' '.join(part for part in (place, premises.postcode) if part)}",
            "",
            f"{asks}.",
            "",
            *(part for part in (firm and firm.name, firm and firm.phone) if part),
        )
    )
