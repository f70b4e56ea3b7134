"""What can be refused at the bench and the shelf.

StudioError (inventory.errors)
|-- AlreadyDone                the same tap was made before, here or on another screen
|-- NotThere                   no such mix, cast or piece
|-- MixNotMadeUp               what is asked for makes no mix (in the arithmetic: mix_walls.MixRefused)
|   |-- MouldNotMeasured       no volume is known for a mould
|   |-- MouldNotFree           no clean, dry and free copy of a mould
|   |-- NoTubToWeighFrom       no tub holds the powder or a pigment
|   `-- WeightsChanged         the grams shown are no longer the grams of this mix
|-- MixNotSetting              the mix is not open for pouring
|-- TooEarlyToOpen             the mould is not due yet
|-- NotOutYet                  the cast is still in the mould
|-- StepNotDue                 another step comes first, or its wait is not over
|-- ReadingNotBelieved         a weighing that does not fit the ones before
|-- TimesChanged               the time shown is no longer what was seen
|-- MouldPlanned               more is planned in a mould than the page said
|-- MixStays                   a mix cannot be put to the time asked for
|-- SwatchRefused              figures that no colour meter shows
|-- TintRefused                a strength that makes no tint, or a name that is taken
|-- DayNotKept                 a day cannot be kept free of pours
|-- PieceHasLeft               the piece was shipped
`-- LaterActsDepend            an undo that something done since stands on
"""

from __future__ import annotations

from inventory.errors import StudioError


class AlreadyDone(StudioError):
    """The tap was made before; facts `at`."""


class NotThere(StudioError):
    """No such mix, cast or piece."""


class MixNotMadeUp(StudioError):
    """What is asked for cannot be turned into a mix."""


class MouldNotMeasured(MixNotMadeUp):
    """The mould has no measured volume; facts `mould`."""


class MouldNotFree(MixNotMadeUp):
    """A copy of the mould is occupied, damp, lent or retired; facts `mould`, `short`."""


class MouldPlanned(StudioError):
    """A mould to be retired has more planned mixes than was shown; facts `planned`."""


class NoTubToWeighFrom(MixNotMadeUp):
    """No tub holds a material of the mix; facts `material`."""


class WeightsChanged(MixNotMadeUp):
    """The grams on the page are not those of the mix any more; facts `shown_mg`, `now_mg`."""


class MixNotSetting(StudioError):
    """The mix is poured, stopped or undone."""


class TooEarlyToOpen(StudioError):
    """The mould is opened before its time without saying so; facts `due_at`, `minutes`."""


class NotOutYet(StudioError):
    """The cast is still in the mould."""


class StepNotDue(StudioError):
    """The step is not the next one of these pieces, or its wait is not over; facts `due_at`."""


class ReadingNotBelieved(StudioError):
    """A weighing heavier than the last, or lighter than the casting can be; facts `last_mg`, `mass_mg`."""


class TimesChanged(StudioError):
    """Other times were seen since the page was shown; facts `minutes`."""


class MixStays(StudioError):
    """A mix cannot be poured at the time asked for; facts `first_free`."""


class SwatchRefused(StudioError):
    """A swatch that was neither measured nor photographed, or figures out of range; facts `field`."""


class TintRefused(StudioError):
    """No tint of a colour can be made like this; facts `field`."""


class DayNotKept(StudioError):
    """A day cannot be kept free of pours: it is over, is so already, or a mix was put there by hand."""


class PieceHasLeft(StudioError):
    """The piece was shipped; facts `mark`."""


class LaterActsDepend(StudioError):
    """Something done since stands on the act; it has to be undone first."""
