"""Findings in words: how grave, about what, and how near to the limit."""

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
    """What a finding is about, as a reader would call it."""
    if finding.subject.startswith("caps["):
        return "Operator's answer"
    if finding.subject == "site":
        return "The whole site"
    return subject_words(finding.subject, site)


def margin_words(finding: Finding) -> str:
    """What is left to the limit, or by how much it is passed."""
    if finding.margin is None:
        return ""
    if finding.margin == 0:
        return "exactly at the limit"
    # A cap in shares is held against the fullest phase times their number; told is the phase. One
    # in amps is held against the phase itself, or against all of them (`now`).
    shares = finding.values.get("shares", 1)
    if not isinstance(shares, int) or finding.margin_unit == "mA" or "now" in finding.values:
        shares = 1
    amount = quantity(-(-abs(finding.margin) // shares), finding.margin_unit)
    on = " on the fullest phase" if shares > 1 else ""
    if finding.margin > 0:
        return f"{amount} left to the limit{on}"
    return f"{amount} over the limit{on}"
