"""What can be refused in the stores, and the base of every refusal in the studio.

StudioError                    a sentence for the person at the bench, with the facts in it
|-- RequestKeyReused           one tap's key came back with other content
|-- StudioBusy                 the database was held by others for too long
|-- NothingToUndo              the act is not there, or was undone before
|-- NotEnoughInContainer       a draw larger than the tub holds
|-- OverCapacity               more than the tub has room for
|-- WrongMaterial              two materials would meet in one tub
|-- ContainerRetired           the tub is no longer in use
|-- TakenInBefore              a delivery that looks like one that is in
|-- PastItsDate                a lot whose best before is over
|-- NotOrderedLikeThis         an order to a supplier that cannot be noted
|-- RoundEnded                 the round is posted or laid down, or there is none
|-- ReadBefore                 somebody read this tub in this round already
|-- RoundChanged               what would be posted is no longer what was shown
|-- FileNotRead                an uploaded file that is no table
|-- PhotoRefused               an uploaded file that is no photo, or too large a one
`-- NothingToKeep              no row of the file is new and whole
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


class StudioBusy(StudioError):
    """Others held the database for too long; nothing was kept, and the same tap may come again."""


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


class TakenInBefore(StudioError):
    """A lot of this number, amount and day is here already; facts `lot`."""


class PastItsDate(StudioError):
    """The best before is over on the day of receipt; facts `best_before`."""


class NotOrderedLikeThis(StudioError):
    """The order cannot be noted like this; facts `field`."""


class RoundEnded(StudioError):
    """The round of counting is not open any more."""


class ReadBefore(StudioError):
    """The tub was read in this round by somebody since the page was shown; facts `container`."""


class RoundChanged(StudioError):
    """The ledger or a reading changed since the differences were shown."""


class FileNotRead(StudioError):
    """The file cannot be read as a table; facts `reason`, and `row` where one is to blame."""


class PhotoRefused(StudioError):
    """The file cannot be kept as a photo."""


class NothingToKeep(StudioError):
    """There is no new and whole row in the file."""
