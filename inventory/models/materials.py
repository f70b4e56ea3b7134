"""What the studio buys and uses."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Supplier(models.Model):
    """Somebody who delivers materials."""

    name = models.CharField(max_length=80, unique=True)
    lead_working_days = models.PositiveSmallIntegerField(default=3)
    carriage_minor = models.BigIntegerField(default=0, help_text="what one delivery costs beside the packs")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(carriage_minor__gte=0), name="supplier_carriage_not_negative")
        ]

    def __str__(self) -> str:
        return self.name


class Material(models.Model):
    """A thing kept in tubs, bottles or boxes; all amounts of it are thousandths of its base unit."""

    class Kind(models.TextChoices):
        POWDER = "powder", "powder"
        PIGMENT = "pigment", "pigment"
        SEALER = "sealer", "sealer"
        WAX = "wax", "wax"
        FRAGRANCE = "fragrance", "fragrance"
        WICK = "wick", "wick"
        PACKAGING = "packaging", "packaging"
        CONSUMABLE = "consumable", "consumable"

    class Unit(models.TextChoices):
        GRAM = "g", "gram"
        MILLILITRE = "ml", "millilitre"
        PIECE = "piece", "piece"

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=12, choices=Kind)
    unit = models.CharField(max_length=5, choices=Unit)
    density_g_per_ml = models.FloatField(null=True, blank=True)
    melted_density_g_per_ml = models.FloatField(null=True, blank=True, help_text="of a wax, as poured")
    unopened_life_days = models.PositiveIntegerField(null=True, blank=True)
    opened_life_days = models.PositiveIntegerField(null=True, blank=True)
    safety_level = models.BigIntegerField(default=0, help_text="keep at least this much (thousandths)")
    pack_size = models.BigIntegerField(null=True, blank=True, help_text="one pack (thousandths)")
    supplier = models.ForeignKey(Supplier, models.PROTECT, null=True, blank=True, related_name="materials")
    slack_days = models.PositiveSmallIntegerField(default=1, help_text="days a delivery may run late")
    cautions = models.TextField(blank=True)
    hazard_wording = models.TextField(blank=True, help_text="as the supplier's safety sheet gives it")
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(safety_level__gte=0), name="material_safety_level_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(pack_size__isnull=True) | Q(pack_size__gt=0), name="material_pack_size_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Lot(models.Model):
    """One delivery of one material. What is left of it follows from the ledger."""

    material = models.ForeignKey(Material, models.PROTECT, related_name="lots")
    code = models.CharField(max_length=16, unique=True)
    supplier = models.ForeignKey(Supplier, models.PROTECT, null=True, blank=True, related_name="lots")
    supplier_lot = models.CharField(max_length=60, blank=True)
    received_on = models.DateField()
    best_before = models.DateField(null=True, blank=True)
    amount = models.BigIntegerField(help_text="received (thousandths)")
    price_minor = models.BigIntegerField(default=0)

    class Meta:
        ordering = ["received_on", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="lot_amount_positive"),
            models.CheckConstraint(condition=Q(price_minor__gte=0), name="lot_price_not_negative"),
        ]
        # The latest lots first, without sorting all there ever were.
        indexes = [models.Index(fields=["received_on", "id"], name="lot_received")]

    def __str__(self) -> str:
        return self.code


class Delivery(models.Model):
    """What was ordered of one material, until it has come or was called off.

    What comes in part leaves a second row for the rest, so that a row is open, in, or called off as a whole.
    """

    order = models.ForeignKey(
        "inventory.SupplierOrder", models.PROTECT, null=True, blank=True, related_name="lines"
    )
    material = models.ForeignKey(Material, models.PROTECT, related_name="deliveries")
    amount = models.BigIntegerField(help_text="ordered (thousandths)")
    price_minor = models.BigIntegerField(default=0, help_text="for all of it, as the packs were priced")
    ordered_on = models.DateField()
    expected_on = models.DateField()
    received_lot = models.OneToOneField(Lot, models.PROTECT, null=True, blank=True, related_name="delivery")
    cancelled_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["expected_on", "id"]
        verbose_name_plural = "deliveries"
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="delivery_amount_positive"),
            models.CheckConstraint(
                condition=Q(received_lot__isnull=True) | Q(cancelled_on__isnull=True),
                name="delivery_in_or_called_off",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} expected {self.expected_on}"
