"""Phrases that must be read twice, and must not come back on a page, in a pack or in a message."""

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SPOKEN = tuple(
    file
    for folder in ("connections", "sites", "templates")
    for file in sorted((ROOT / folder).rglob("*"))
    if file.suffix in {".py", ".html", ".svg", ".toml"}
)

GONE = {
    "supply is waited for": "Say who waits for what: You must wait for the new supply.",
    "Nothing is waited for": "No need to wait.",
    "then stands at": "The fullest phase is then exactly at the limit.",
    "Sun and cells together then give": "Maximum output drops from 7.28 to 3.68 kW.",
    "Make it a design": "Save as a design",
    "since nothing was said": "Assumptions",
    "nothing said": "not stated",
    "given for you": "Leave blank to name automatically",
    "keep what is asked": "within limits",
    "keeps what is asked": "within limits",
    "that nobody controls": "Uncontrolled",
    "everything else at nothing": "all else off",
    "Only other facts clear": "Change the design",
    "Left to it": "Margin",
    "Why none that is tried earlier": "Why no simpler procedure applies",
    "nothing is agreed by it": "Not an offer; nothing is agreed with the operator.",
    "one box fails": "If one unit fails",
    "Most that it sends out": "Maximum export",
    "holds otherwise than": "What differs between",
    "Something else follows": "Outcome changes",
}
"""Each phrase, and what is said in its place."""


@pytest.mark.parametrize(("phrase", "instead"), GONE.items())
def test_it_has_not_come_back(phrase, instead):
    found = [str(file.relative_to(ROOT)) for file in SPOKEN if phrase in file.read_text("utf-8")]
    assert found == [], f"Say it plainly: {instead}"
