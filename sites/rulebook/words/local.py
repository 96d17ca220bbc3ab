"""Words for local entries."""

from connections.facts.deciding import BY_NAME
from connections.rulebook.local_text import Entry
from connections.rulebook.telling import listed

_OPS = {
    "at_most": "is at most",
    "below": "is below",
    "at_least": "is at least",
    "above": "is above",
    "is": "is",
    "one_of": "is one of",
}
_SEVERITIES = {
    "stops": "Stops the application",
    "decide": "Needs an engineer's decision",
    "inform": "For information",
}


def about_in_words(entry: Entry) -> str:
    """Return the subject of an entry in words."""
    if entry.kind == "value":
        return entry.about
    if entry.kind == "condition":
        return "Extra condition"
    return f"Cap on export {_places(entry)}"


def says_in_words(entry: Entry) -> str:
    """Return the content of an entry in one line."""
    content = entry.content
    if entry.kind == "value":
        return _amount(content["value"])
    if entry.kind == "export-cap":
        return f"{content['limit']} {'a phase' if content['per'] == 'phase' else 'in all'}"
    return f"{_SEVERITIES[content['severity']]}: {content['asks']}"


def conditions_in_words(entry: Entry) -> list[str]:
    """Return the conditions of an extra condition in words; empty if every site meets it."""
    found = []
    for condition in entry.content.get("when", ()):
        fact = BY_NAME[condition["fact"]].says
        op, against = next((op, condition[op]) for op in _OPS if op in condition)
        found.append(f"{fact} {_OPS[op]} {_amount(against)}")
    return found


def _places(entry: Entry) -> str:
    content = entry.content
    if content.get("everywhere"):
        return "at every site"
    parts = []
    for words, name in (("feeder", "feeders"), ("postcode sector", "postcode_sectors")):
        if places := content.get(name):
            parts.append(f"{words if len(places) == 1 else words + 's'} {listed(places)}")
    return f"for {' and '.join(parts)}"


def _amount(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(str(word) for word in value) or "none"
    return str(value)
