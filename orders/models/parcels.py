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

    class Meta:
        ordering = ["order", "number"]
        constraints = [
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
