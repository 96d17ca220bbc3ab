"""Error for a pack that can't be made."""


class PackError(ValueError):
    """A pack that can't be built or read.

    `path` names what is at fault ("units[0].serials", "replaces"; empty for the whole pack);
    `message` says in plain words what is wrong and what to do.
    """

    def __init__(self, path: str, message: str) -> None:
        super().__init__(f"{path}: {message}" if path else message)
        self.path = path
        self.message = message
