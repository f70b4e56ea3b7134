"""Tables of the stores."""

from inventory.models.containers import Container, Place
from inventory.models.files import OpeningRow
from inventory.models.ledger import Act, Entry, Holding, Posting
from inventory.models.materials import Delivery, Lot, Material, Supplier
from inventory.models.photos import Photo
from inventory.models.rounds import CountReading, CountRound
from inventory.models.suppliers import SupplierOrder, SupplierPack

__all__ = [
    "Act",
    "Container",
    "CountReading",
    "CountRound",
    "Delivery",
    "Entry",
    "Holding",
    "Lot",
    "Material",
    "OpeningRow",
    "Photo",
    "Place",
    "Posting",
    "Supplier",
    "SupplierOrder",
    "SupplierPack",
]
