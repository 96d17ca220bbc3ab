"""What is wrong with a file, where, and what to do."""


class SiteFileError(ValueError):
    """A site file that can't be read.

    `path` names the place ("units[0].rated_w", empty for the whole file); `message` says in plain
    words what is wrong and what to do.
    """

    def __init__(self, path: str, message: str) -> None:
        super().__init__(f"{path}: {message}" if path else message)
        self.path = path
        self.message = message
