"""How long each amount of a value holds, from files written here: two editions, an operator, the
firm. And the bar that sets a value beside its limit."""

import datetime as dt

import pytest

from connections.rulebook.book import Source
from connections.rulebook.schema import DatedValue, Part, Spell
from sites.deciding.limit_bars import WIDTH, bar_of
from sites.rulebook.reading.history import reign_on, reigns

KEY = "time.answer"


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def part(kind: str, since: str, until: str | None, *spells: tuple[str, str | None, int]) -> Part:
    """A file that gives KEY in these spells; none if it doesn't give it."""
    source = Source(document="d", title="D", edition="", clause="")
    value = DatedValue(
        key=KEY,
        says="The operator answers within this time.",
        unit="working-days",
        applies_to="applications",
        checked=day("2026-01-01"),
        file="f.toml",
        spells=tuple(
            Spell(
                since=day(first),
                until=day(last) if last else None,
                amount=amount,
                written=f"{amount} working days",
                source=source,
                certainty="published",
                note="",
            )
            for first, last, amount in spells
        ),
    )
    return Part(
        kind=kind,  # type: ignore[arg-type]
        key=f"{kind}-{since}",
        title=kind,
        edition="",
        areas=(),
        since=day(since),
        until=day(until) if until else None,
        nations=("england",),
        values={KEY: value} if spells else {},
        outcomes=(),
        rows=(),
        steps=(),
        settings=(),
        digest=f"{kind}{since}",
        file="f.toml",
        places={},
    )


OLD = part("edition", "2019-01-01", "2024-12-31", ("2019-01-01", None, 30))
NEW = part(
    "edition",
    "2025-01-01",
    None,
    ("2025-01-01", "2026-12-31", 10),
    ("2027-01-01", None, 5),
)
SILENT = part("edition", "2025-01-01", None)


def told(*stack: Part) -> list[tuple[str, str, str, str]]:
    return [
        (
            found.since.isoformat(),
            found.until.isoformat() if found.until else "",
            found.spell.written.split()[0],
            found.part.kind,
        )
        for found in reigns(stack, KEY)
    ]


@pytest.mark.parametrize(
    ("stack", "wanted"),
    [
        pytest.param(
            (OLD, NEW),
            [
                ("2019-01-01", "2024-12-31", "30", "edition"),
                ("2025-01-01", "2026-12-31", "10", "edition"),
                ("2027-01-01", "", "5", "edition"),
            ],
            id="one edition after the other",
        ),
        pytest.param(
            (OLD, NEW, part("operator", "2026-03-01", None, ("2026-03-01", None, 7))),
            [
                ("2019-01-01", "2024-12-31", "30", "edition"),
                ("2025-01-01", "2026-02-28", "10", "edition"),
                # The edition's change of 2027 lies beneath and is not seen.
                ("2026-03-01", "", "7", "operator"),
            ],
            id="an operator's file lies above",
        ),
        pytest.param(
            (NEW, part("local", "2026-03-01", None, ("2026-03-01", "2026-06-30", 3))),
            [
                ("2025-01-01", "2026-02-28", "10", "edition"),
                ("2026-03-01", "2026-06-30", "3", "local"),
                ("2026-07-01", "2026-12-31", "10", "edition"),
                ("2027-01-01", "", "5", "edition"),
            ],
            id="a local entry that ends gives way again",
        ),
        pytest.param(
            (OLD, SILENT),
            [("2019-01-01", "2024-12-31", "30", "edition")],
            id="the next edition does not give it",
        ),
        pytest.param(
            (OLD, part("local", "2024-06-01", None, ("2024-06-01", None, 3))),
            [
                ("2019-01-01", "2024-05-31", "30", "edition"),
                # Without an edition nothing holds, whatever a layer says.
                ("2024-06-01", "2024-12-31", "3", "local"),
            ],
            id="nothing holds after the last edition",
        ),
        pytest.param((SILENT,), [], id="nobody gives it"),
    ],
)
def test_spells_of_all_layers(stack, wanted):
    assert told(*stack) == wanted


@pytest.mark.parametrize(
    ("on", "now", "then"),
    [
        ("2018-12-31", None, "30"),
        ("2019-01-01", "30", "10"),
        ("2024-12-31", "30", "10"),
        ("2026-12-31", "10", "5"),
        ("2027-01-01", "5", None),
    ],
)
def test_now_and_then(on, now, then):
    found = reign_on(reigns((OLD, NEW), KEY), day(on))
    assert [reign.spell.written.split()[0] if reign else None for reign in found] == [now, then]


class TestBars:
    """The longer of value and limit takes nine tenths of the line: 216 of 240 steps."""

    @pytest.mark.parametrize(
        ("value", "limit", "filled", "mark"),
        [
            (16_000, 32_000, 108, 216),
            (32_000, 16_000, 216, 108),
            (16_000, 16_000, 216, 216),
            (0, 16_000, 0, 216),
            # One in a million apart is a step apart, whichever is more.
            (15_999_999, 16_000_000, 215, 216),
            (16_000_001, 16_000_000, 216, 215),
            (999_999, 1_000_000, 215, 216),
        ],
    )
    def test_places(self, value, limit, filled, mark):
        bar = bar_of(value, limit, within=True, words="words")
        assert bar is not None
        assert (bar.filled, bar.mark, bar.words) == (filled, mark, "words")
        assert max(bar.filled, bar.mark) < WIDTH

    @pytest.mark.parametrize(
        ("value", "limit"),
        [(None, 16_000), (True, 1), (1, True), ("LV", "LV"), (0, 0), (-1, 5), (5, ["a"])],
    )
    def test_what_is_no_amount_has_none(self, value, limit):
        assert bar_of(value, limit, within=True, words="") is None
