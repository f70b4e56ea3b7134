"""Which piece is for whom, and what left in which parcel."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from orders.models.demand import Order, OrderLine


class Assignment(models.Model):
    """A piece kept for a line. A piece serves one line only."""

    piece = models.OneToOneField("production.Piece", models.PROTECT, related_name="+")
    line = models.ForeignKey(OrderLine, models.PROTECT, related_name="assignments")
    by_hand = models.BooleanField(default=False, help_text="the owner chose it; not re-shuffled")

    class Meta:
        ordering = ["line", "id"]

    def __str__(self) -> str:
        return f"{self.piece_id} for {self.line_id}"


class Parcel(models.Model):
    """A box for one order: open while it is packed, closed when it has left."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="parcels")
    number = models.PositiveSmallIntegerField(default=1)
    packed_at = models.DateTimeField(null=True, blank=True)
    shipped_at = models.DateTimeField(null=True, blank=True)
    carrier = models.CharField(max_length=60, blank=True)
    tracking = models.CharField(max_length=80, blank=True)
    weight_mg = models.BigIntegerField(null=True, blank=True, help_text="as the scale showed it, box and all")
    pieces_mg = models.BigIntegerField(null=True, blank=True, help_text="sum of what its pieces weigh")

    class Meta:
        ordering = ["order", "number"]
        indexes = [models.Index(fields=["-shipped_at"], name="parcel_shipped")]
        constraints = [
            models.CheckConstraint(
                condition=Q(weight_mg__isnull=True) | Q(weight_mg__gt=0), name="parcel_weight_positive"
            ),
            models.UniqueConstraint(fields=["order", "number"], name="parcel_number_once"),
            models.UniqueConstraint(
                fields=["order"], condition=Q(shipped_at__isnull=True), name="parcel_one_open_per_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order} parcel {self.number}"


class ParcelPiece(models.Model):
    """A piece ticked into the box."""

    parcel = models.ForeignKey(Parcel, models.PROTECT, related_name="pieces")
    piece = models.OneToOneField("production.Piece", models.PROTECT, related_name="+")
    ticked_at = models.DateTimeField()

    class Meta:
        ordering = ["parcel", "id"]

    def __str__(self) -> str:
        return f"{self.piece_id} in {self.parcel_id}"


class ParcelPackaging(models.Model):
    """What a parcel was packed in, as it was taken off the stores (thousandths)."""

    parcel = models.ForeignKey(Parcel, models.CASCADE, related_name="packaging")
    material = models.ForeignKey("inventory.Material", models.PROTECT, related_name="+")
    amount = models.BigIntegerField()

    class Meta:
        ordering = ["parcel", "id"]
        constraints = [
            models.UniqueConstraint(fields=["parcel", "material"], name="parcel_packaging_once"),
            models.CheckConstraint(condition=Q(amount__gt=0), name="parcel_packaging_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.amount} of {self.material_id} for {self.parcel_id}"


class ParcelDraw(models.Model):
    """What a parcel was packed in, lot by lot and tub by tub: how packaging is traced to whom it went."""

    parcel = models.ForeignKey(Parcel, models.CASCADE, related_name="draws")
    container = models.ForeignKey("inventory.Container", models.PROTECT, related_name="+")
    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="+")
    material = models.ForeignKey("inventory.Material", models.PROTECT, related_name="+")
    amount = models.BigIntegerField()

    class Meta:
        ordering = ["parcel", "id"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="parcel_draw_positive")]

    def __str__(self) -> str:
        return f"{self.amount} into parcel {self.parcel_id}"


class Return(models.Model):
    """A piece that came back from a customer, or arrived broken. The order and the parcel it left with stay.

    `is_free`: it stands on the shelf again and may be sold to another; its place in the box is kept here.
    """

    class Why(models.TextChoices):
        BROKEN = "broken in post", "broken in post"
        FAULT = "fault", "a fault of ours"
        WRONG = "wrong piece", "the wrong piece was sent"
        MIND = "not wanted", "not wanted after all"

    parcel = models.ForeignKey(Parcel, models.PROTECT, related_name="returns")
    line = models.ForeignKey(OrderLine, models.SET_NULL, null=True, related_name="returns")
    piece = models.ForeignKey("production.Piece", models.PROTECT, related_name="+")
    why = models.CharField(max_length=14, choices=Why)
    outcome = models.CharField(max_length=6, help_text="good, second or scrap, as it is now")
    is_free = models.BooleanField()
    noted_at = models.DateTimeField()
    replaced_by = models.ForeignKey(
        Order, models.SET_NULL, null=True, blank=True, related_name="replacement_for"
    )

    class Meta:
        ordering = ["noted_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["parcel", "piece"], name="return_once_per_parcel"),
        ]

    def __str__(self) -> str:
        return f"{self.piece_id} back from {self.parcel_id}"
