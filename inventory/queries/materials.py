"""One material with its tubs and what is ordered of it."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.errors import StudioError
from inventory.models import Container, Delivery, Material
from inventory.queries.choosing import with_holdings
from inventory.queries.deliveries import open_deliveries


@dataclass(frozen=True)
class MaterialPage:
    """A material, its tubs in use with their holdings, and the orders not in yet."""

    material: Material
    tubs: tuple[Container, ...]
    coming: tuple[Delivery, ...]

    @property
    def held(self) -> int:
        """What all tubs together hold (thousandths)."""
        return sum(tub.held for tub in self.tubs)


def material_page(material_id: int) -> MaterialPage:
    """The material with this id. Four queries.

    Raises: StudioError when there is none.
    """
    tubs = with_holdings(Container.objects.filter(material=material_id, retired_on__isnull=True))
    return MaterialPage(
        material=material(material_id),
        tubs=tuple(tubs.order_by("code")),
        coming=tuple(open_deliveries().filter(material=material_id)),
    )


def material(material_id: int) -> Material:
    """The material with this id, with its supplier. One query.

    Raises: StudioError when there is none.
    """
    found = Material.objects.select_related("supplier").filter(pk=material_id).first()
    if found is None:
        raise StudioError("There is no such material. Choose one from the list.", material_id=material_id)
    return found


def any_material() -> bool:
    """Whether the studio has a material in use. One query."""
    return Material.objects.filter(retired_on__isnull=True).exists()
