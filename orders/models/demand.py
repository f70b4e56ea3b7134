"""Who wants what by when: orders, market days and shelf stock."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Customer(models.Model):
    """Somebody to send a parcel to. Name and address can be erased; the row stays."""

    name = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Order(models.Model):
    """An order of one customer, or a market day, which has none."""

    class Kind(models.TextChoices):
        ORDER = "order", "order"
        MARKET = "market", "market day"

    kind = models.CharField(max_length=6, choices=Kind, default=Kind.ORDER)
    number = models.CharField(max_length=40, unique=True, help_text="order number, or name of the market day")
    came_from = models.CharField(max_length=40, blank=True)
    customer = models.ForeignKey(Customer, models.PROTECT, null=True, blank=True, related_name="orders")
    ordered_on = models.DateField()
    ship_by = models.DateField()
    weight = models.PositiveSmallIntegerField(default=1, help_text="how many times a late piece of it counts")
    replaces = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="replaced_by",
        help_text="what came back",
    )
    note = models.TextField(blank=True)
    gift_message = models.TextField(blank=True)
    closed_at = models.DateTimeField(null=True, blank=True, help_text="shipped in full, or called off")
    called_off = models.BooleanField(default=False)

    class Meta:
        ordering = ["ship_by", "id"]
        indexes = [models.Index(fields=["ship_by"], condition=Q(closed_at__isnull=True), name="order_open")]
        constraints = [
            models.CheckConstraint(condition=Q(weight__gte=1, weight__lte=9), name="order_weight_in_range"),
            models.CheckConstraint(
                condition=Q(kind="market", customer__isnull=True) | Q(kind="order", customer__isnull=False),
                name="order_customer_unless_market",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class OrderLine(models.Model):
    """So many of one article in one colour."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="lines")
    article = models.ForeignKey("production.Article", models.PROTECT, related_name="+")
    colour = models.ForeignKey("production.Colour", models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField()
    seconds_do = models.BooleanField(default=False, help_text="seconds may be kept for it")

    class Meta:
        ordering = ["order", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="order_line_quantity_positive"),
            models.UniqueConstraint(fields=["order", "article", "colour"], name="order_line_article_once"),
        ]

    def __str__(self) -> str:
        return f"{self.order}: {self.quantity}"


class OrderBefore(models.Model):
    """An order as it was before a change, so that the change can be taken back; gone with the customer."""

    order = models.ForeignKey(Order, models.CASCADE, related_name="befores")
    request_key = models.UUIDField(unique=True, help_text="of the act that changed it")
    fields = models.JSONField()
    lines = models.JSONField(help_text="[article, colour, pieces, whether seconds do] each")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.order} before"


class ShelfWish(models.Model):
    """How many of an article in a colour the studio likes to have on the shelf."""

    article = models.ForeignKey("production.Article", models.PROTECT, related_name="+")
    colour = models.ForeignKey("production.Colour", models.PROTECT, related_name="+")
    level = models.PositiveIntegerField()

    class Meta:
        ordering = ["article", "colour"]
        constraints = [
            models.UniqueConstraint(fields=["article", "colour"], name="shelf_wish_once"),
        ]

    def __str__(self) -> str:
        return f"{self.level} on the shelf"
