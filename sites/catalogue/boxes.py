"""Boxes that a unit on the survey sheet and a model of the catalogue share, so that both mean the
same."""

from collections.abc import Mapping

from connections.facts.site import Certificate, Unit
from sites.catalogue.certificates_box import CertificatesBox
from sites.house.boxes.fields import Box, ChoiceBox, DayBox, WordsBox, YesNoBox
from sites.house.boxes.layout import More
from sites.house.boxes.quantity_box import QuantityBox

RATED_BOXES: Mapping[str, Box] = {
    "source": ChoiceBox.of(
        Unit, "source", nothing="choose", required=True, needed="say what drives the unit"
    ),
    "rated_w": QuantityBox.of(Unit, "rated_w"),
    "type_tested": ChoiceBox.of(Certificate, "type_tested"),
    "standard": WordsBox.of(
        Certificate, "standard", longest=60, suggestions="standards", width="short"
    ),
    "type_test_reference": WordsBox.of(Certificate, "reference"),
    "certificate_rated_w": QuantityBox.of(Certificate, "rated_w"),
    "certificate_until": DayBox.of(Certificate, "valid_until", back=20, ahead=20),
    "further_certificates": CertificatesBox(
        "Further certificates",
        hint="one a line: standard; fully, partly or no; reference; rating; last day",
    ),
    "can_island": YesNoBox.of(Unit, "can_island"),
    "design_w": QuantityBox.of(Unit, "design_w"),
    "rated_va": QuantityBox.of(Unit, "rated_va"),
    "rated_ma": QuantityBox.of(Unit, "rated_ma"),
}
"""The boxes by the name of their fact."""
CERTIFICATE_BOXES = {
    "standard": "standard",
    "type_tested": "type_tested",
    "reference": "type_test_reference",
    "rated_w": "certificate_rated_w",
    "valid_until": "certificate_until",
}
"""The box of each fact of the first certificate."""
CERTIFICATES = More(
    "certificate_rated_w", "certificate_until", "further_certificates", title="More certificates"
)
"""What is rarely asked of a certificate, and all but the first."""
