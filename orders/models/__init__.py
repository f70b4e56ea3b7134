"""Tables of the orders."""

from orders.models.demand import Customer, Order, OrderLine, ShelfWish
from orders.models.files import ColumnMapping, OrderFile
from orders.models.parcels import Assignment, Parcel, ParcelPiece

__all__ = [
    "Assignment",
    "ColumnMapping",
    "Customer",
    "Order",
    "OrderFile",
    "OrderLine",
    "Parcel",
    "ParcelPiece",
    "ShelfWish",
]
