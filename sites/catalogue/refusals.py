"""Refusals of a change of the equipment catalogue, for the page."""


class ModelTakenError(Exception):
    """The equipment catalogue has this model of this maker already."""

    def __init__(self, called: str) -> None:
        super().__init__(f"The catalogue has {called} already.")


class ModelChangedError(Exception):
    """Somebody changed or took out the model since the page was opened; nothing was done."""
