"""The range: articles, their parts, and the routes they take after casting."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from production.models.compounds import Colour, Compound
from production.models.moulds import Mould


class Route(models.Model):
    """The steps after casting, in order."""

    name = models.CharField(max_length=60, unique=True)
    care = models.TextField(
        blank=True, help_text="looking after what is finished so, for the care card; one line each"
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class StepKind(models.Model):
    """A kind of step of the studio's own: gild, felt, engrave."""

    name = models.CharField(max_length=30, unique=True)
    done_word = models.CharField(max_length=30, blank=True, help_text="what a piece is after it: gilded")
    cautions = models.TextField(blank=True, help_text="shown wherever the step is due")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class RouteStep(models.Model):
    """One step: a wait, then hands. `wait_minutes` empty: until dry (by hours or weighings)."""

    class Kind(models.TextChoices):
        DRY = "dry", "dry"
        COAT = "coat", "coat"
        FILL = "fill", "wax fill"
        CURE = "cure", "cure"
        FIT = "fit", "fit"
        OWN = "own", "the studio's own"

    route = models.ForeignKey(Route, models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=6, choices=Kind)
    own_kind = models.ForeignKey(StepKind, models.PROTECT, null=True, blank=True, related_name="steps")
    name = models.CharField(max_length=40, help_text="coat 1, fill, cure, feet")
    wait_minutes = models.PositiveIntegerField(null=True, blank=True)
    minutes_each = models.PositiveSmallIntegerField(default=0)
    minutes_per_board = models.PositiveSmallIntegerField(default=0)
    material = models.ForeignKey(
        "inventory.Material", models.PROTECT, null=True, blank=True, related_name="+"
    )
    amount_each = models.BigIntegerField(default=0, help_text="of the material, per piece (thousandths)")
    fragrance = models.ForeignKey(
        "inventory.Material", models.PROTECT, null=True, blank=True, related_name="+"
    )
    fragrance_each = models.BigIntegerField(default=0, help_text="per piece (thousandths)")
    wick = models.ForeignKey("inventory.Material", models.PROTECT, null=True, blank=True, related_name="+")
    wicks_each = models.BigIntegerField(default=0, help_text="per piece (thousandths)")
    filling = models.JSONField(default=dict, blank=True, help_text="how a wax fill was reckoned")

    class Meta:
        ordering = ["route", "position"]
        constraints = [
            models.UniqueConstraint(fields=["route", "position"], name="route_step_position_once"),
            models.CheckConstraint(condition=Q(amount_each__gte=0), name="route_step_amount_not_negative"),
            models.CheckConstraint(
                condition=Q(kind="own", own_kind__isnull=False) | (~Q(kind="own") & Q(own_kind__isnull=True)),
                name="route_step_own_kind_named",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.route}: {self.name}"

    @property
    def also(self) -> tuple[tuple[int, int], ...]:
        """Materials that one piece takes beside the step's own, as (id, amount in thousandths)."""
        beside = ((self.fragrance_id, self.fragrance_each), (self.wick_id, self.wicks_each))
        return tuple((material_id, amount) for material_id, amount in beside if material_id and amount)

    @property
    def takes(self) -> tuple[tuple[int, int], ...]:
        """Every material that one piece takes in it."""
        own = ((self.material_id, self.amount_each),) if self.material_id and self.amount_each else ()
        return (*own, *self.also)


class Article(models.Model):
    """What is sold: a finished piece made of one or more parts."""

    name = models.CharField(max_length=80, unique=True)
    silhouette = models.CharField(max_length=20, default="block")
    route = models.ForeignKey(Route, models.PROTECT, related_name="articles")
    is_matched = models.BooleanField(default=False, help_text="all parts of a piece from one mix")
    colours = models.ManyToManyField(Colour, related_name="articles")
    pack_minutes = models.PositiveSmallIntegerField(default=5)
    packaging = models.ForeignKey(
        "inventory.Material", models.PROTECT, null=True, blank=True, related_name="+"
    )
    packaging_each = models.BigIntegerField(default=0, help_text="per piece (thousandths)")
    care = models.TextField(blank=True, help_text="looking after it, for the care card")
    photo = models.ForeignKey("inventory.Photo", models.PROTECT, null=True, blank=True, related_name="+")
    is_candle = models.BooleanField(default=False)
    price_minor = models.BigIntegerField(null=True, blank=True, help_text="of one piece, before any tax")
    margin_wanted = models.FloatField(null=True, blank=True, help_text="part of the price that is to be left")
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(price_minor__isnull=True) | Q(price_minor__gte=0),
                name="article_price_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(margin_wanted__isnull=True) | Q(margin_wanted__gte=0, margin_wanted__lt=1),
                name="article_margin_part_of_price",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ArticlePart(models.Model):
    """One cast that a piece of the article needs."""

    article = models.ForeignKey(Article, models.PROTECT, related_name="parts")
    name = models.CharField(max_length=40)
    mould = models.ForeignKey(Mould, models.PROTECT, related_name="+")
    compound = models.ForeignKey(Compound, models.PROTECT, related_name="+")
    own_colour = models.ForeignKey(
        Colour, models.PROTECT, null=True, blank=True, related_name="+", help_text="empty: as ordered"
    )

    class Meta:
        ordering = ["article", "id"]
        constraints = [
            models.UniqueConstraint(fields=["article", "name"], name="article_part_name_once"),
        ]

    def __str__(self) -> str:
        return f"{self.article}: {self.name}"
