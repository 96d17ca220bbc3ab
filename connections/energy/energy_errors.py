"""Errors of a year's calculation, worded for the person who can mend them."""


class EnergyError(Exception):
    """No year can be calculated from an input; the message says which and what to do."""


class InvariantError(EnergyError):
    """A calculated year breaks a law that always holds; there is no result."""


class SeriesFileError(EnergyError):
    """An uploaded series that can't be read.

    `line` counts from 1 and is 0 for the whole file, `column` names the column or is empty, `fault`
    says what is wrong and `mend` what to do.
    """

    def __init__(self, fault: str, mend: str, *, line: int = 0, column: str = "") -> None:
        self.fault = fault
        self.mend = mend
        self.line = line
        self.column = column
        where = f"Line {line}" if line else "The file"
        if column:
            where += f", column {column}"
        super().__init__(f"{where}: {fault} {mend}")
