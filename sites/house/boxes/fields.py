"""Boxes of the survey sheet: each turns a text into a fact, and a fact into a text.

Boxes keep no state, so all forms of a kind share them: a sheet with twenty units is built without
copying hundreds of fields.
"""

import datetime as dt
import re
import unicodedata
from collections.abc import Callable, Iterable
from contextlib import suppress
from typing import Any, Literal, Self

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from msgspec import Struct

from connections.facts.declaring import Choices, Fact, declared
from connections.facts.site import YEARS
from sites.house.boxes.typed import Reading, Typed, TypedInput, settle

Control = Literal["text", "lines", "select", "tick", "ticks", "hidden"]

CONTROL_CHARACTERS = "this holds a character that can't be printed; type the text again"


class Box(forms.Field):
    """A box of the sheet. `beside` is printed next to it; `hint` stands under it.

    `suggestions` names a list of words that the browser offers; `width` is "short" or "long".
    """

    control: Control = "text"
    numeric = False
    needed = "fill this in"

    def __init__(
        self,
        label: str,
        *,
        beside: str = "",
        hint: str = "",
        required: bool = False,
        suggestions: str = "",
        width: str = "",
        needed: str = "",
    ) -> None:
        super().__init__(label=label, required=required, widget=TypedInput())
        self.beside = beside
        self.hint = hint
        self.suggestions = suggestions
        self.width = width
        self.needed = needed or self.needed

    @classmethod
    def of(cls, part: type[Struct], name: str, **page: Any) -> Self:
        """The box of a declared fact, with the fact's label, hint, unit, band and choices.

        `page` adds to what the fact gives, or overrides it.
        """
        return cls(**{**cls.said_of(declared(part)[name]), **page})

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives."""
        said = {"label": fact.label, "hint": fact.hint, "beside": fact.beside}
        return {name: words for name, words in said.items() if words}

    def __deepcopy__(self, memo: object) -> "Box":
        return self

    def clean(self, value: Any) -> Any:
        """Read the fact from the text; `empty` for no text. Raises ValidationError."""
        typed = Typed(value.text.strip(), value.meant)
        if not typed.text:
            if self.required:
                raise ValidationError(self.needed, code="needed")
            return self.empty
        return self.read(typed)

    empty: object = ""

    def read(self, typed: Typed) -> Any:
        """Read the fact from a text that isn't empty. Raises ValidationError."""
        raise NotImplementedError

    def write(self, value: object) -> str:
        """Text of the box for a fact."""
        return "" if value is None else str(value)

    def texts(self, value: object) -> list[str]:
        """Values that a page with the fact in this box posts."""
        return [self.write(value)]

    def answer(self, value: object) -> str:
        """The answer to the question that the box would ask about a saved fact; mostly none."""
        text = self.write(value)
        if not text:
            return ""
        try:
            self.clean(Typed(text))
        except ValidationError as fault:
            for reading in getattr(fault.error_list[0], "readings", ()):
                if reading.value == value:
                    return str(reading.answer(text))
        return ""

    def shown(self, text: str) -> str:
        """The text as shown in a comparison of two versions."""
        return text


def band_of(fact: Fact) -> dict[str, int]:
    """The band of an amount, as boxes take it."""
    assert fact.band is not None, f"{fact.label} has no band"
    return {"low": fact.band[0], "high": fact.band[1]}


def refuse_control_characters(text: str) -> None:
    """Raises ValidationError for a text with characters that no font prints."""
    if any(unicodedata.category(char) in ("Cc", "Cs") and char not in "\n\t" for char in text):
        raise ValidationError(CONTROL_CHARACTERS, code="unprintable")


class WordsBox(Box):
    """Words on one line."""

    def __init__(self, label: str, *, longest: int = 200, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.longest = longest

    def read(self, typed: Typed) -> str:
        """The words, blanks made single. Raises ValidationError."""
        text = " ".join(typed.text.split())
        return self.checked(text)

    def checked(self, text: str) -> str:
        """The text, if it can be kept. Raises ValidationError."""
        refuse_control_characters(text)
        if len(text) > self.longest:
            raise ValidationError(
                f"this has {len(text)} characters; shorten it to {self.longest}", code="long"
            )
        return text


class LinesBox(WordsBox):
    """Words on several lines, such as an address."""

    control: Control = "lines"

    def __init__(self, label: str, *, longest: int = 1000, **kwargs: Any) -> None:
        super().__init__(label, longest=longest, **kwargs)

    def read(self, typed: Typed) -> str:
        """The lines, without empty ones. Raises ValidationError."""
        lines = (" ".join(line.split()) for line in typed.text.splitlines())
        return self.checked("\n".join(line for line in lines if line))


class EmailBox(WordsBox):
    """An e-mail address."""

    def read(self, typed: Typed) -> str:
        """The address. Raises ValidationError."""
        text = super().read(typed)
        if not re.fullmatch(r"[^@\s]+@[^@\s.]+(\.[^@\s.]+)+", text):
            raise ValidationError("write it as in name@firm.example", code="email")
        return text


class PostcodeBox(WordsBox):
    """A postcode; asks about one that looks like none, for there are other countries.

    The pattern is our own choice and only a check of typing: area letters, district, unit.
    """

    _BRITISH = re.compile(r"[A-Z]{1,2}[0-9][A-Z0-9]? ?[0-9][A-Z]{2}")
    _IRISH = re.compile(r"[A-Z][0-9][0-9W] ?[A-Z0-9]{4}")

    def read(self, typed: Typed) -> str:
        """The postcode in capitals. Raises ValidationError."""
        text = super().read(typed).upper()
        if self._BRITISH.fullmatch(text):
            text = text.replace(" ", "")
            return f"{text[:-3]} {text[-3:]}"
        if self._IRISH.fullmatch(text):
            return text
        answer: str = settle(
            typed,
            "this does not look like a postcode, which is written as in ZZ1 2BB; mend it, or say "
            "that it is right",
            [Reading(text, text)],
        )
        return answer


class ChoiceBox(Box):
    """One of a few words. `nothing` is shown where none is chosen."""

    control: Control = "select"

    def __init__(
        self,
        label: str,
        choices: Choices | Callable[[], Choices],
        *,
        nothing: str = "not known",
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self._choices = choices
        self.nothing = nothing

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives."""
        return {**super().said_of(fact), "choices": fact.choices}

    @property
    def choices(self) -> Choices:
        """Value and words of every choice, without the empty one."""
        return self._choices() if callable(self._choices) else self._choices

    def read(self, typed: Typed) -> str:
        """The value chosen. Raises ValidationError for one that isn't offered."""
        if not any(value == typed.text for value, _words in self.choices):
            refuse_control_characters(typed.text)
            raise ValidationError("choose one from the list", code="choice")
        return typed.text

    def shown(self, text: str) -> str:
        """The words of the choice."""
        return next((words for value, words in self.choices if value == text), text)


class WholeChoiceBox(ChoiceBox):
    """One of a few whole numbers."""

    empty = None

    def read(self, typed: Typed) -> Any:
        """The number chosen."""
        return int(super().read(typed))


class YesNoBox(ChoiceBox):
    """Yes, no, or not known."""

    empty = None

    def __init__(self, label: str, *, yes: str = "yes", no: str = "no", **kwargs: Any) -> None:
        super().__init__(label, (("yes", yes), ("no", no)), **kwargs)

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives."""
        return {**Box.said_of(fact), **dict(fact.choices)}

    def read(self, typed: Typed) -> Any:
        """True or False."""
        return super().read(typed) == "yes"

    def write(self, value: object) -> str:
        """yes, no or nothing."""
        return "" if value is None else "yes" if value else "no"


class TickBox(Box):
    """A tick."""

    control: Control = "tick"
    empty = False

    def read(self, typed: Typed) -> bool:
        """True, for there is only one value."""
        return True

    def write(self, value: object) -> str:
        """on, or nothing."""
        return "on" if value else ""

    def shown(self, text: str) -> str:
        """yes or no."""
        return "yes" if text else "no"


class HiddenBox(Box):
    """A hidden value of the page: the key of a saved row."""

    control: Control = "hidden"

    def read(self, typed: Typed) -> str:
        """The text."""
        return typed.text


class CountBox(Box):
    """A whole number without a unit; asks about one outside the band from `low` to `high`.

    `highest` is the largest that can be kept. Bands are our own choice.
    """

    numeric = True
    empty = None

    def __init__(
        self, label: str, *, low: int, high: int, highest: int = 1_000_000, **kwargs: Any
    ) -> None:
        super().__init__(label, **kwargs)
        self.low, self.high, self.highest = low, high, highest

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives. The unit is in the label."""
        said = {**super().said_of(fact), "beside": "", **band_of(fact)}
        return said if fact.most is None else {**said, "highest": fact.most}

    def read(self, typed: Typed) -> Any:
        """The number. Raises ValidationError."""
        text = "".join(typed.text.split())
        if re.fullmatch(r"[0-9]{1,3}(,[0-9]{3})+", text):
            plain = text.replace(",", "")
            raise ValidationError(f"write {plain}, without a comma", code="comma")
        if not (text.isascii() and text.isdigit()):
            raise ValidationError("write a whole number in digits, such as 12", code="count")
        if len(text) > 9 or int(text) > self.highest:
            raise ValidationError(f"this is more than {self.highest}; check it", code="large")
        number = int(text)
        if self.low <= number <= self.high:
            return number
        usual = f"usual here is {self.low} to {self.high}"
        return settle(typed, f"{usual}; mend it, or say that it is meant", [Reading(text, number)])


class DayBox(Box):
    """A date, day before month; asks about one outside the band of years around today.

    `back` and `ahead` are years from today, our own choice; `ahead` 0 means not after today.
    `years` are the first and the last plausible year of the fact. A year of two digits is the one
    in the band, or else the nearest to today.
    """

    empty = None
    _MONTHS: Iterable[str] = ("%d/%m/%Y", "%d.%m.%Y", "%d-%m-%Y", "%Y-%m-%d")
    _WORDS: Iterable[str] = ("%d %B %Y", "%d %b %Y")
    _SHORT: Iterable[str] = ("%d/%m/%y", "%d.%m.%y", "%d-%m-%y", "%d %B %y", "%d %b %y")
    _how = "write day, month and year as in 24/11/2026"

    def __init__(
        self, label: str, *, back: int, ahead: int, years: tuple[int, int] = YEARS, **kwargs: Any
    ) -> None:
        kwargs.setdefault("hint", "day/month/year")
        super().__init__(label, **kwargs)
        self.back, self.ahead, self.years = back, ahead, years

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives."""
        said = super().said_of(fact)
        return said if fact.years is None else {**said, "years": fact.years}

    def read(self, typed: Typed) -> Any:
        """The date. Raises ValidationError."""
        day = _in_form(typed.text, (*self._MONTHS, *self._WORDS))
        if day is None and (short := _in_form(typed.text, self._SHORT)):
            day = self._in_century(short)
        if day is None:
            raise ValidationError(f"this is no date; {self._how}", code="date")
        return self.checked(typed, day, Reading(f"{day.day} {day:%B} {day.year}", day))

    def checked(self, typed: Typed, day: dt.date, reading: Reading) -> Any:
        """The value of a reading if its day lies in the band or it is meant. Raises AskedError."""
        today = timezone.localdate()
        if self._is_usual(day):
            return reading.value
        if not self.ahead and day > today:
            message = f"{reading.words} has not come yet; mend it, or say that it is meant"
        else:
            message = f"{reading.words} is a long way off; mend it, or say that it is meant"
        return settle(typed, message, [reading])

    def _is_usual(self, day: dt.date) -> bool:
        today = timezone.localdate()
        latest = day.year <= today.year + self.ahead if self.ahead else day <= today
        return self.years[0] <= day.year <= self.years[1] and (
            today.year - self.back <= day.year and latest
        )

    def _in_century(self, day: dt.date) -> dt.date:
        """A day whose year has two digits, in the likeliest century."""
        found = [day]
        for century in (1900, 2000):
            with suppress(ValueError):  # 29 February of a year that is no leap year
                found.append(day.replace(year=century + day.year % 100))
        today = timezone.localdate()
        return min(found, key=lambda each: (not self._is_usual(each), abs(each - today)))

    def write(self, value: object) -> str:
        """Day, month and year as people write them."""
        return "" if value is None else f"{value:%d/%m/%Y}"


class DayOrMonthBox(DayBox):
    """A day, or a month where nobody knows the day, as text of the site file."""

    _how = f"{DayBox._how}, or month and year as in 11/2026"
    _ONLY_MONTH = ("%m/%Y", "%m.%Y", "%m-%Y", "%Y-%m", "%B %Y", "%b %Y")
    _SHORT_MONTH = ("%m/%y", "%m.%y", "%m-%y")

    def read(self, typed: Typed) -> Any:
        """The day or the month. Raises ValidationError."""
        if month := _in_form(typed.text, self._ONLY_MONTH):
            words = f"{month:%B} {month.year}"
            return self.checked(typed, month, Reading(words, month.isoformat()[:7]))
        if short := _in_form(typed.text, self._SHORT_MONTH):
            return self._short_month(typed, self._in_century(short))
        return super().read(typed)

    def _short_month(self, typed: Typed, month: dt.date) -> Any:
        """The month of a text such as 06/16; asks where it could be a day without its year."""
        words = f"{month:%B} {month.year}"
        reading = Reading(words, month.isoformat()[:7])
        if month.year % 100 > 12:
            return self.checked(typed, month, reading)
        ask = f"this may be {words}, or a day without its year; mend it, or say that it is meant"
        return settle(typed, ask, [reading])

    def checked(self, typed: Typed, day: dt.date, reading: Reading) -> Any:
        """The value of a reading as text of the site file. Raises AskedError."""
        value = str(reading.value)
        return super().checked(typed, day, reading._replace(value=value))

    def write(self, value: object) -> str:
        """Day, month and year, or month and year, as people write them."""
        return "/".join(reversed(str(value or "").split("-")))


def _in_form(text: str, forms: Iterable[str]) -> dt.date | None:
    """The date of a text in the first of these forms that fits; of a month its first day."""
    text = " ".join(text.replace(",", " ").split())
    for form in forms:
        with suppress(ValueError):
            return dt.datetime.strptime(text, form).date()  # noqa: DTZ007 (a date has no zone)
    return None
