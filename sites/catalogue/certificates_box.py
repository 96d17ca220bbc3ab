"""Further certificates of a unit, one per line: standard; extent; reference; rating; last day."""

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError

from connections.facts.declaring import declared
from connections.facts.site import Certificate
from sites.house.boxes.amounts import Measure, with_unit
from sites.house.boxes.fields import Box, DayBox, WordsBox, refuse_control_characters
from sites.house.boxes.typed import Typed

_MOST = 9
_WORDS = WordsBox("Words")
_RATING = Measure("W", beside="kW")
_DAY = DayBox("Day", back=100, ahead=100)
_EXTENT = dict(declared(Certificate)["type_tested"].choices)


class CertificatesBox(Box):
    """Certificates beyond the first, typed one per line, such as G99; fully; REF 1; 5 kW."""

    control = "lines"
    width = "long"
    empty: Any = ()

    def clean(self, value: Any) -> Any:
        """Return the certificates as a new list. Raises ValidationError."""
        return list(super().clean(value))

    def read(self, typed: Typed) -> list[dict[str, Any]]:
        """Return one certificate for each line that is not empty. Raises ValidationError."""
        refuse_control_characters(typed.text.replace("\r", ""))
        lines = [line.strip() for line in typed.text.splitlines() if line.strip(" ;\t")]
        if len(lines) > _MOST:
            raise ValidationError(f"write at most {_MOST} certificates", code="many")
        return [_certificate(line) for line in lines]

    def write(self, value: Any) -> str:
        """Return the certificates as lines."""
        return "\n".join(_line(certificate) for certificate in value or ())


def _certificate(line: str) -> dict[str, Any]:
    parts = [part.strip() for part in line.split(";")]
    if len(parts) > 5:
        raise ValidationError(
            f'"{line[:80]}" has too many parts; write standard; fully, partly or no; reference; '
            "rating; last day",
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
