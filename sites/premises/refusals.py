"""Reasons why a save was refused, with messages for the page."""


class ReferenceTakenError(Exception):
    """Raised if another premises has the reference already."""

    def __init__(self, reference: str) -> None:
        super().__init__(
            f'Another premises has the reference "{reference}"; give this one its own.'
        )
        self.reference = reference


class StaleSheetError(Exception):
    """Raised if somebody saved the premises or design since the sheet was opened; saves nothing."""


MOST_UNIT_LINES = 60
"""Lines of units that a premises and one design may have together; our own choice.

Every page of them then answers within two seconds."""


class TooManyUnitsError(Exception):
    """Raised if a premises and its design have more than MOST_UNIT_LINES lines of units."""

    def __init__(self, lines: int) -> None:
        super().__init__(
            f"A premises can have {MOST_UNIT_LINES} lines of units, existing and proposed "
            f"together; here are {lines}. Put like units together in one line with their number, "
            "or use a second premises"
        )


class EngineersFigureError(Exception):
    """Raised if somebody who is no engineer changes a figure in place of a default."""

    def __init__(self) -> None:
        super().__init__(
            "Only an engineer may put a figure in place of a default, change it or take it out; "
            "nothing was saved. Leave these rows as they were"
        )


class NameTakenError(Exception):
    """Raised if another design of the premises has the name already."""

    def __init__(self, name: str) -> None:
        super().__init__(f'Another design of this premises is called "{name}"; use another name.')
        self.name = name
