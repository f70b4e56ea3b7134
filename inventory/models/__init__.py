"""Tables of the stores."""

from inventory.models.containers import Container, Place
from inventory.models.ledger import Act, Entry, Holding, Posting
from inventory.models.materials import Delivery, Lot, Material, Supplier

__all__ = [
    "Act",
    "Container",
    "Delivery",
    "Entry",
    "Holding",
    "Lot",
    "Material",
    "Place",
    "Posting",
    "Supplier",
]
