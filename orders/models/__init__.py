"""Tables of the orders."""

from orders.models.clients import ApiAnswer, ApiClient
from orders.models.demand import Customer, Order, OrderBefore, OrderLine, ShelfWish
from orders.models.files import ColumnMapping, OrderFile
from orders.models.parcels import Assignment, Parcel, ParcelDraw, ParcelPackaging, ParcelPiece, Return

__all__ = [
    "ApiAnswer",
    "ApiClient",
    "Assignment",
    "ColumnMapping",
    "Customer",
    "Order",
    "OrderBefore",
    "OrderFile",
    "OrderLine",
    "Parcel",
    "ParcelDraw",
    "ParcelPackaging",
    "ParcelPiece",
    "Return",
    "ShelfWish",
]
