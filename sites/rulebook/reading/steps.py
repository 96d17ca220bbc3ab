"""Steps, forms, extra conditions, caps by place, and protection settings, in words."""

from collections.abc import Iterator

from msgspec import Struct

from connections.pack.figures import quantity
from connections.rulebook.book import ExportCap, ExtraCondition, Rulebook, SettingTable, StepRule
from connections.rulebook.telling import (
    amount_in_words,
    certainty_in_words,
    day_in_words,
    layer_title,
    place_in_words,
)
from sites.rulebook.words.rulebook import (
    SEVERITIES,
    SHORT_CERTAINTIES,
    WORDS,
    ToldCondition,
    capital,
    condition_of,
    short_certainty,
)

WHEN = {
    "before-work": "Before the work",
    "before-energising": "Before energising",
    "after-commissioning": "After commissioning",
}

WHAT = {
    "application": "application",
    "notification": "notification",
    "confirmation": "confirmation",
    "ask": "question to the network operator",
    "decommission": "notice of decommissioning",
    "demand-notice": "notice of demand",
}

_FROM = {
    "submission": "after it was sent",
    "commissioning": "after commissioning",
    "before-commissioning": "before commissioning",
    "taking-out": "after it is taken out",
}


class Period(Struct, frozen=True):
    """How long a step may take: the time, its start, and the value that sets it."""

    amount: str
    runs: str
    key: str


class ShownStep(Struct, frozen=True):
    """A step in words."""

    id: str
    says: str
    what: str
    follows: tuple[str, ...]
    only_if: tuple[ToldCondition, ...]
    form: str
    form_key: str
    period: Period | None
    waits: bool
    attachments: tuple[str, ...]
    source: str
    certainty: str
    layer: str


class ShownForm(Struct, frozen=True):
    """A form with the steps that send it."""

    key: str
    name: str
    says: str
    steps: tuple[tuple[str, str], ...]
    reference: bool
    source: str
    certainty: str


class ShownExtra(Struct, frozen=True):
    """An extra condition in words."""

    id: str
    says: str
    asks: str
    severity: str
    tone: str
    when: tuple[ToldCondition, ...]
    attachments: tuple[str, ...]
    source: str
    certainty: str
    layer: str


class ShownCap(Struct, frozen=True):
    """A cap on export in words."""

    id: str
    says: str
    place: str
    amount: str
    source: str
    certainty: str
    layer: str


class StepsPage(Struct, frozen=True):
    """Steps by the time when they are due, with forms, extra conditions and caps."""

    when: tuple[tuple[str, tuple[ShownStep, ...]], ...]
    forms: tuple[ShownForm, ...]
    extras: tuple[ShownExtra, ...]
    caps: tuple[ShownCap, ...]


class ShownSetting(Struct, frozen=True):
    """A setting: function, stage, value, and time until it disconnects."""

    function: str
    stage: int
    amount: str
    delay: str


class ShownSettings(Struct, frozen=True):
    """A table of protection settings in words."""

    id: str
    says: str
    standard: str
    level: str
    mode: str
    settings: tuple[ShownSetting, ...]
    source: str
    certainty: str
    checked: str
    layer: str
    note: str


def steps_page(book: Rulebook) -> StepsPage:
    """Return every step, form, extra condition and cap of a resolved rulebook."""
    by_when: dict[str, list[ShownStep]] = {told: [] for told in WHEN.values()}
    for step in book.steps:
        by_when[WHEN[step.when]].append(_step(step, book))
    return StepsPage(
        when=tuple((told, tuple(some)) for told, some in by_when.items() if some),
        forms=tuple(_forms(book)),
        extras=tuple(_extra(extra, book) for extra in book.conditions),
        caps=tuple(_cap(cap, book) for cap in book.caps),
    )


def settings_page(book: Rulebook) -> tuple[ShownSettings, ...]:
    """Return every table of interface protection settings of a resolved rulebook."""
    return tuple(_settings(table, book) for table in book.settings)


def _step(step: StepRule, book: Rulebook) -> ShownStep:
    titles = {outcome.key: outcome.title for outcome in book.outcomes}
    form = book.values.get(step.form) if step.form else None
    return ShownStep(
        id=step.id,
        says=step.says,
        what=WHAT[step.what],
        follows=tuple(titles[key] for key in step.outcomes if key in titles),
        only_if=tuple(condition_of(condition, book) for condition in step.only_if),
        form=amount_in_words(form) if form else "",
        form_key=step.form,
        period=_period(step, book),
        waits=step.wait,
        attachments=step.attachments,
        source=str(step.source),
        certainty=SHORT_CERTAINTIES[step.certainty],
        layer=_layer(book, f"step {step.id}"),
    )


def _period(step: StepRule, book: Rulebook) -> Period | None:
    value = book.values.get(step.limit) if step.limit else None
    if value is None:
        return None
    return Period(amount_in_words(value), _FROM.get(step.limit_from, ""), step.limit)


def _forms(book: Rulebook) -> Iterator[ShownForm]:
    """Yield the texts of the group `form`, then others that a step sends."""
    sent = {step.form for step in book.steps if step.form}
    for key, value in book.values.items():
        if key in sent or (key.startswith("form.") and value.unit == "text"):
            yield ShownForm(
                key=key,
                name=amount_in_words(value),
                says=value.says,
                steps=tuple((step.id, step.says) for step in book.steps if step.form == key),
                reference=key in book.reference,
                source=str(value.source),
                certainty=short_certainty(certainty_in_words(book, value)),
            )


def _extra(extra: ExtraCondition, book: Rulebook) -> ShownExtra:
    return ShownExtra(
        id=extra.id,
        says=extra.says,
        asks=extra.asks,
        severity=SEVERITIES[extra.severity],
        tone=extra.severity,
        when=tuple(condition_of(condition, book) for condition in extra.when),
        attachments=extra.attachments,
        source=str(extra.source),
        certainty=SHORT_CERTAINTIES[extra.certainty],
        layer=layer_title(book, extra.layer),
    )


def _cap(cap: ExportCap, book: Rulebook) -> ShownCap:
    return ShownCap(
        id=cap.id,
        says=cap.says,
        place=place_in_words(cap),
        amount=f"{cap.written} {'a phase' if cap.per == 'phase' else 'in all'}",
        source=str(cap.source),
        certainty=SHORT_CERTAINTIES[cap.certainty],
        layer=layer_title(book, cap.layer),
    )


def _settings(table: SettingTable, book: Rulebook) -> ShownSettings:
    return ShownSettings(
        id=table.id,
        says=table.says,
        standard=table.standard,
        level=WORDS.get(table.voltage_level, table.voltage_level),
        mode=table.operating_mode.replace("-parallel", " parallel"),
        settings=tuple(
            ShownSetting(
                function=capital(setting.function),
                stage=setting.stage,
                amount=setting.written,
                delay="" if setting.delay_ms is None else quantity(setting.delay_ms, "ms"),
            )
            for setting in table.settings
        ),
        source=str(table.source),
        certainty=SHORT_CERTAINTIES[table.certainty],
        checked=day_in_words(table.checked),
        layer=_layer(book, f"setting table {table.id}"),
        note=table.note,
    )


def _layer(book: Rulebook, thing: str) -> str:
    """Return the title of the layer that gives a step or table; empty if that is the edition."""
    given = book.given_by.get(thing, (book.key,))
    return "" if given[0] == book.key else layer_title(book, given[0])
