"""Words for findings: severity, subject and margin."""

from connections.facts.decision import Finding
from connections.facts.site import Site
from connections.pack.figures import quantity
from connections.pack.places import subject_words

SEVERITY_WORDS = {
    "stops": "Stops the application",
    "decide": "Needs an engineer's decision",
    "inform": "For information",
}


def about_words(finding: Finding, site: Site) -> str:
    """Return the subject of a finding in words."""
    if finding.subject.startswith("caps["):
        return "Operator's answer"
    if finding.subject == "site":
        return "The whole site"
    return subject_words(finding.subject, site)


def margin_words(finding: Finding) -> str:
    """Return the margin to the limit in words: left, or over."""
    if finding.margin is None:
        return ""
    if finding.margin == 0:
        return "exactly at the limit"
    # With a cap in shares, the margin is that of the fullest phase times the number of shares; show
    # it for one phase. A cap in amps compares the phase itself, or all phases (`now`).
    shares = finding.values.get("shares", 1)
    if not isinstance(shares, int) or finding.margin_unit == "mA" or "now" in finding.values:
        shares = 1
    amount = quantity(-(-abs(finding.margin) // shares), finding.margin_unit)
    on = " on the fullest phase" if shares > 1 else ""
    if finding.margin > 0:
        return f"{amount} left to the limit{on}"
    return f"{amount} over the limit{on}"
