"""Error for a pack that can't be printed."""


class PrintError(RuntimeError):
    """A pack that can't be printed; the message says what is wrong and what to do."""


class TooLongError(PrintError):
    """A print has more pages than it may have."""
