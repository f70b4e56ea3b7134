"""What the studio's own pages refuse.

StudioError
|-- LinkSpent          a sign-in link that was used, ran out, or never was
|-- NameTaken          somebody signs in under that name already
|-- LastOwner          nobody would be left to run the studio
|-- HoursOverlap       two stretches of one weekday at the same time
|-- DayClosedAlready   a closed day that is on the list
|-- NoSuchEntry        an hour, day or person that is no longer there
|-- PinRefused         a PIN too easy to guess, wrong, or tried too often
|-- OwnersAct          somebody else would take back what only the owner does
"""

from __future__ import annotations

from inventory.errors import StudioError


class LinkSpent(StudioError):
    """The sign-in link was used before, has run out, or is not one of ours."""


class NameTaken(StudioError):
    """Somebody signs in under that name already."""


class LastOwner(StudioError):
    """The studio would have no owner left."""


class HoursOverlap(StudioError):
    """The stretch meets another one of the same weekday."""


class DayClosedAlready(StudioError):
    """The day is on the list of closed days."""


class NoSuchEntry(StudioError):
    """What the tap was about is no longer there."""


class OwnersAct(StudioError):
    """Somebody who does not run the studio would take back what only its owner does."""


class PinRefused(StudioError):
    """The PIN is too easy to guess, not the right one, or was tried too often."""
