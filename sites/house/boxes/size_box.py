"""The nominal size of a conductor: a label such as 2.5, not a measurement."""

import re

from django.core.exceptions import ValidationError

from sites.house.boxes.fields import WordsBox
from sites.house.boxes.typed import Typed

_SIZE = re.compile(r"(?P<size>[0-9]{1,4}([.,][0-9]{1,2})?)\s*(mm2|mm²|sqmm)?", re.I)


class SizeBox(WordsBox):
    """A nominal cross-section in mm²."""

    numeric = True

    def read(self, typed: Typed) -> str:
        """The size as a label. Raises ValidationError."""
        found = _SIZE.fullmatch(typed.text)
        if found is None:
            raise ValidationError("write the size in mm², such as 2.5", code="size")
        return found["size"].replace(",", ".")
