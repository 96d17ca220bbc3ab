"""Further certificates of a unit, one per line: standard; extent; reference; rating; last day."""

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError

from connections.facts.declaring import declared
from connections.facts.site import Certificate
from sites.house.boxes.amounts import Measure, with_unit
from sites.house.boxes.entries_box import LinesBox
from sites.house.boxes.fields import DayBox, WordsBox
from sites.house.boxes.typed import Typed

_WORDS = WordsBox("Words")
_RATING = Measure("W", beside="kW")
_DAY = DayBox.of(Certificate, "valid_until", back=100, ahead=100)
_EXTENT = dict(declared(Certificate)["type_tested"].choices)


class CertificatesBox(LinesBox):
    """Certificates beyond the first, typed one per line, such as G99; fully; REF 1; 5 kW."""

    most = 9
    many = "certificates"

    def entry_of(self, line: str) -> dict[str, Any]:
        """Return the certificate of one line. Raises ValidationError."""
        return _certificate(line)

    def line_of(self, entry: dict[str, Any]) -> str:
        """Return the line of one certificate."""
        return _line(entry)


def _certificate(line: str) -> dict[str, Any]:
    parts = [part.strip() for part in line.split(";")]
    if len(parts) > 5 or not any(parts):
        wrong = "has too many parts" if any(parts) else "says nothing"
        raise ValidationError(
            f'"{line[:80]}" {wrong}; write standard; fully, partly or no; reference; rating; '
            "last day",
            code="certificate",
        )
    standard, extent, reference, rating, until = (*parts, "", "", "", "")[:5]
    try:
        said: dict[str, Any] = {
            "standard": _WORDS.read(Typed(standard)),
            "reference": _WORDS.read(Typed(reference)),
            "type_tested": _extent(extent),
            "rated_w": _RATING.exactly(rating) if rating else None,
            "valid_until": _DAY.read(Typed(until)).isoformat() if until else None,
        }
    except ValidationError as fault:
        raise ValidationError(f'in "{line[:80]}", {fault.messages[0]}', code=fault.code) from None
    return {name: value for name, value in said.items() if value not in (None, "")}


def _extent(text: str) -> str:
    for value, words in _EXTENT.items():
        if text.casefold() in ("", value, words):
            return value if text else ""
    raise ValidationError(f'"{text[:20]}" is none of {", ".join(_EXTENT.values())}', code="extent")


def _line(certificate: dict[str, Any]) -> str:
    rating, until = certificate.get("rated_w"), certificate.get("valid_until")
    parts = [
        certificate.get("standard", ""),
        _EXTENT.get(certificate.get("type_tested", ""), ""),
        certificate.get("reference", ""),
        with_unit(_RATING.write(rating), _RATING.beside) if rating else "",
        _DAY.write(dt.date.fromisoformat(until)) if until else "",
    ]
    return "; ".join(parts).rstrip("; ")
