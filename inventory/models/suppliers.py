"""What suppliers sell, and what was ordered from them."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from inventory.models.materials import Material, Supplier


class SupplierPack(models.Model):
    """One size in which a supplier sells a material, and what it costs."""

    supplier = models.ForeignKey(Supplier, models.CASCADE, related_name="packs")
    material = models.ForeignKey(Material, models.CASCADE, related_name="packs")
    amount = models.BigIntegerField(help_text="in one pack (thousandths of the material's unit)")
    price_minor = models.BigIntegerField(default=0, help_text="of one pack; 0 where it is not known")

    class Meta:
        ordering = ["supplier", "material", "amount"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "material", "amount"], name="supplierpack_one_of_each_size"
            ),
            models.CheckConstraint(condition=Q(amount__gt=0), name="supplierpack_amount_positive"),
            models.CheckConstraint(condition=Q(price_minor__gte=0), name="supplierpack_price_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.amount} of {self.material_id} from {self.supplier_id}"


class SupplierOrder(models.Model):
    """One order placed with a supplier. Its lines are deliveries, each with its own day and its own end."""

    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="orders")
    ordered_on = models.DateField()
    reference = models.CharField(max_length=40, blank=True, help_text="the supplier's own number of it")

    class Meta:
        ordering = ["-ordered_on", "-id"]

    def __str__(self) -> str:
        return f"{self.supplier}, {self.ordered_on}"
