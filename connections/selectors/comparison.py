"""The customer's page of designs side by side, in plain words."""

from connections.pack.comparison import MOST, ComparedRow, Comparison, Drawn
from connections.remedies.designs import DesignFacts
from connections.rules.figures import kilowatts, plural
from connections.selectors.side_by_side import Compared, SideBySide
from sites.models import Firm
from sites.selectors.site_rows import today

_NOTES = (
    "Power is what the inverters are rated at; what the sun gives changes with the day.",
    "The network operator decides about the connection. To be designed, fitted and tested by "
    "competent people.",
)


def comparison_of(page: SideBySide, plots: tuple[Drawn, ...] = ()) -> Comparison:
    """What is printed of a comparison: the first few designs in the order shown."""
    shown = [one for one in page.designs if one.facts is not None]
    kept, rest = shown[:MOST], shown[MOST:]
    premises = page.premises
    firm = Firm.objects.order_by("pk").first()
    chosen = next((one.name for one in page.designs if one.design.is_proposal), "")
    undecided = [one.name for one in page.designs if one.facts is None]
    return Comparison(
        title="Your designs side by side",
        reference=f"{premises.reference}, {premises.name}" if premises.name else premises.reference,
        prepared_on=today(),
        firm=firm.name if firm is not None else "",
        designs=tuple(one.name for one in kept),
        chosen=chosen if len(page.designs) > 1 else "",
        rows=tuple(_rows(kept)),
        plots=plots,
        notes=_NOTES,
        left_out=(*(one.name for one in rest), *undecided),
    )


def _rows(shown: list[Compared]) -> list[ComparedRow]:
    facts = [one.facts for one in shown if one.facts is not None]
    return [
        ComparedRow("Before the work", tuple((_waiting(f),) for f in facts)),
        ComparedRow(
            "Most power from sun and battery together",
            tuple((kilowatts(f.power_w),) for f in facts),
        ),
        ComparedRow(
            "Most power sent to the network", tuple((kilowatts(f.export_w),) for f in facts)
        ),
        ComparedRow("In a power cut", tuple((f.backup,) for f in facts)),
        ComparedRow("Boxes", tuple((plural(f.box_count, "box", "boxes"),) for f in facts)),
        ComparedRow(
            "If one box fails, you still have",
            tuple(
                tuple(f"without {box.name}: {box.without}" for box in f.boxes) or ("nothing",)
                for f in facts
            ),
        ),
        ComparedRow("Cable from the roof carries", tuple((_roof(f),) for f in facts)),
        ComparedRow("Good to know", tuple(f.told or ("nothing more",) for f in facts)),
    ]


def _waiting(facts: DesignFacts) -> str:
    return facts.time or "not known yet"


def _roof(facts: DesignFacts) -> str:
    if facts.dc_runs.startswith("Yes"):
        return "direct current, live in daylight"
    if facts.dc_runs.startswith("No:"):
        return "mains current"
    return facts.dc_runs
