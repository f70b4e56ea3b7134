"""Why a copy was not made, not trusted, or not put back."""

from inventory.errors import StudioError


class CopyNotMade(StudioError):
    """The copy could not be written; nothing of that name was left."""


class CopyNotGood(StudioError):
    """The file is not a whole copy, or not one that this version can read."""


class NotRestored(StudioError):
    """Nothing was changed: the studio is as it was."""


class NotMoved(StudioError):
    """The studio stays where it is; the new database is not to be used."""
