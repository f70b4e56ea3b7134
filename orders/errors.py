"""What can be refused around orders.

StudioError (inventory.errors)
|-- StalePreview      the orders, the range or the file changed since the page was shown
|-- NothingToKeep     no order of the file is new and whole
|-- UploadGone        the file was kept too long ago, or belongs to another sign-in
|-- NoSuchOrder       no order, line or wish by that name
|-- OrderRefused      an order that cannot be kept as typed; facts `field`
|-- OrderClosed       shipped in full or called off
|-- NotForThisBox     a mark that is not kept for this order
|-- PieceNotFree      a piece that cannot be kept for a line
|-- NothingInTheBox   nothing is ticked
|-- ScaleDisagrees    the parcel weighs what its pieces cannot
|-- NotFromHere       a piece that did not leave with the order
|-- HandedOver        too late to take back: the parcel was collected
`-- NotToErase        a customer whose order is still open
"""

from __future__ import annotations

from inventory.errors import StudioError


class StalePreview(StudioError):
    """What would be kept is no longer what was shown."""


class NothingToKeep(StudioError):
    """There is no new and whole order in the file."""


class UploadGone(StudioError):
    """The uploaded file is not here any more, or was read by somebody else."""


class NoSuchOrder(StudioError):
    """The order, line or wish is not there; facts `number`."""


class OrderRefused(StudioError):
    """The order cannot be kept like this; facts `field` names the field to mend."""


class OrderClosed(StudioError):
    """The order was shipped in full or called off; facts `number`."""


class NotForThisBox(StudioError):
    """The mark belongs to no piece of this order; facts `mark`, `kept_for`."""


class PieceNotFree(StudioError):
    """The piece cannot be kept for the line; facts `mark`."""


class NothingInTheBox(StudioError):
    """No piece is ticked; facts `number`."""


class ScaleDisagrees(StudioError):
    """The scale shows what these pieces cannot weigh; facts `field`, `verdict`."""


class NotFromHere(StudioError):
    """The piece did not leave with this order; facts `field`."""


class HandedOver(StudioError):
    """The parcel was collected; facts `until`."""


class NotToErase(StudioError):
    """The customer still waits for a parcel; facts `number`."""
