"""What can be refused in the stores, and the base of every refusal in the studio.

StudioError                    a sentence for the person at the bench, with the facts in it
|-- RequestKeyReused           one tap's key came back with other content
|-- NothingToUndo              the act is not there, or was undone before
|-- NotEnoughInContainer       a draw larger than the tub holds
|-- OverCapacity               more than the tub has room for
|-- WrongMaterial              two materials would meet in one tub
|-- ContainerRetired           the tub is no longer in use
"""

from __future__ import annotations

from typing import Any


class StudioError(Exception):
    """A refusal: `message` is one sentence of what is wrong and what to do, `facts` the figures in it."""

    def __init__(self, message: str, **facts: Any) -> None:
        super().__init__(message)
        self.message = message
        self.facts = facts


class RequestKeyReused(StudioError):
    """The same request key arrived with other content than the first time."""


class NothingToUndo(StudioError):
    """The act to undo is unknown, cannot be undone, or was undone already."""


class NotEnoughInContainer(StudioError):
    """More was asked for than the container holds."""


class OverCapacity(StudioError):
    """More would go in than the container has room for."""


class WrongMaterial(StudioError):
    """A container would hold two materials."""


class ContainerRetired(StudioError):
    """The container was taken out of use."""
