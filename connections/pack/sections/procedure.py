"""The procedure, the reasons for it and against those tried earlier, and the steps."""

from connections.facts.deciding import OTHER_WORK
from connections.facts.decision import Comparison, Period, Step
from connections.pack.case import UNDETERMINED
from connections.pack.content import Block, Cell, Column, Point, Points, PrintedRow, Prose, Table
from connections.pack.figures import listed
from connections.pack.places import assumed_words, missing_words
from connections.pack.sections.layout import Sheet

_WHEN = {
    "before-work": "Before the work",
    "before-energising": "Before energising",
    "after-commissioning": "After commissioning",
}
_FROM = {
    "commissioning": "from commissioning",
    "submission": "from sending",
    "before-commissioning": "before commissioning",
    "taking-out": "after it is taken out",
}


def procedure_blocks(sheet: Sheet) -> list[Block]:
    """Outcome, steps, reasons, and assumed or missing facts."""
    blocks = [_outcome(sheet)]
    if sheet.case.decision.steps:
        blocks.append(_steps(sheet))
    blocks += _reasons(sheet)
    return [*blocks, *_open_facts(sheet)]


def _outcome(sheet: Sheet) -> Block:
    case = sheet.case
    procedure = case.decision.procedure
    sentences = [f"{procedure.title}. {procedure.says}"]
    if procedure.key == UNDETERMINED and case.decision.possible:
        names = [_title(sheet, key) for key in case.decision.possible]
        sentences.append(f"With the facts known it could be: {listed(names, 'or')}.")
    if procedure.boundary:
        other = procedure.other_reading
        sentences.append(
            "The published text can be read two ways for this site. The strict reading is taken "
            "here" + (f"; the other one gives: {_title(sheet, other)}." if other else ".")
        )
    return Prose("procedure.outcome", "Procedure", tuple(sentences))


def _steps(sheet: Sheet) -> Points:
    return Points(
        id="procedure.steps",
        title="Steps",
        points=tuple(_step(step) for step in sheet.case.decision.steps),
        ordered=True,
    )


def _step(step: Step) -> Point:
    said = [step.says if step.says.endswith(".") else f"{step.says}."]
    if step.form:
        said.append(f"Form: {step.form.removeprefix('Form ')}.")
    if step.limit is not None:
        said.append(f"Time: {_period(step.limit)}.")
    said.append(
        "Wait for the answer in writing." if step.wait else "There is no answer to wait for."
    )
    said.extend(step.notes)
    source = f"{listed(step.sources)} ({step.certainty})."
    return Point(_WHEN[step.when], " ".join(said), source)


def _period(limit: Period) -> str:
    if limit.n == 0:
        return "the same day"
    unit = limit.unit.replace("-", " ")
    if limit.n == 1:
        unit = unit.removesuffix("s")
    return f"{limit.n} {unit} {_FROM.get(limit.from_, limit.from_)}"


def _reasons(sheet: Sheet) -> list[Block]:
    procedure = sheet.case.decision.procedure
    blocks: list[Block] = []
    if procedure.because:
        blocks.append(
            Table(
                id="procedure.because",
                title="Why this one",
                wordy=True,
                columns=(Column("Condition, as found", 58), Column("Source", 42)),
                rows=tuple(
                    PrintedRow((Cell(text=reason.says), Cell(text=_source(reason))))
                    for reason in procedure.because
                ),
            )
        )
    earlier = [
        other
        for other in procedure.not_because
        if OTHER_WORK.isdisjoint(failed.fact for failed in other.failed)
    ]
    if earlier:
        blocks.append(
            Table(
                id="procedure.not-because",
                title="Why no simpler procedure applies",
                columns=(
                    Column("Procedure", 24),
                    Column("What fails", 44),
                    Column("Source", 32),
                ),
                rows=tuple(
                    PrintedRow(
                        (
                            Cell(text=_title(sheet, other.key)),
                            Cell(text=_each([failed.says for failed in other.failed])),
                            Cell(text="\n".join(_sources(other.failed))),
                        )
                    )
                    for other in earlier
                ),
            )
        )
    return blocks


def _source(comparison: Comparison) -> str:
    if not comparison.certainty or comparison.certainty in comparison.source.lower():
        return comparison.source
    return f"{comparison.source} ({comparison.certainty})"


def _each(sentences: list[str]) -> str:
    """Sentences below each other, with a mark where they are several."""
    return "\n".join(f"– {said}" for said in sentences) if sentences[1:] else "".join(sentences)


def _sources(comparisons: tuple[Comparison, ...]) -> list[str]:
    return list(dict.fromkeys(_source(comparison) for comparison in comparisons))


def _title(sheet: Sheet, key: str) -> str:
    """The title of an outcome; its key where the rulebook has none."""
    return next((o.title for o in sheet.case.book.outcomes if o.key == key), key)


def _open_facts(sheet: Sheet) -> list[Block]:
    decision = sheet.case.decision
    blocks: list[Block] = []
    if decision.unknown:
        missing = missing_words(decision.unknown, sheet.case.site)
        blocks.append(
            Prose(
                "procedure.unknown",
                "Missing facts that could change the procedure",
                tuple(f"{fact}." for fact in missing),
            )
        )
    if decision.assumed:
        assumed = assumed_words(decision.assumed, sheet.case.site)
        blocks.append(
            Prose(
                "procedure.assumed",
                "Assumed because nothing else was said",
                (f"{'; '.join(assumed)}.",),
            )
        )
    return blocks
