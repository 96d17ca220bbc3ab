"""Why a save was refused, for the page to say."""


class ReferenceTakenError(Exception):
    """Another premises has this reference already."""

    def __init__(self, reference: str) -> None:
        super().__init__(
            f'Another premises has the reference "{reference}"; give this one its own.'
        )
        self.reference = reference


class StaleSheetError(Exception):
    """Somebody saved the premises or the design since the sheet was opened; nothing was saved."""


class EngineersFigureError(Exception):
    """Somebody who is no engineer changed a figure that stands in place of a default."""

    def __init__(self) -> None:
        super().__init__(
            "Only an engineer may put a figure in place of a default, change it or take it out; "
            "nothing was saved. Leave these rows as they were"
        )


class NameTakenError(Exception):
    """Another design of the premises has this name already."""

    def __init__(self, name: str) -> None:
        super().__init__(f'Another design of this premises is called "{name}"; use another name.')
        self.name = name
