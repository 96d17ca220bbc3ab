"""Errors of site files: where, what is wrong, and what to do."""


class SiteFileError(ValueError):
    """An unreadable site file.

    `path` names the place ("units[0].rated_w", empty for the whole file); `message` says in plain
    words what is wrong and what to do.
    """

    def __init__(self, path: str, message: str) -> None:
        super().__init__(f"{path}: {message}" if path else message)
        self.path = path
        self.message = message
