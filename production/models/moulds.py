"""Moulds: the kind, its physical copies, and the water fills that measured it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Mould(models.Model):
    """A kind of mould. One filling of one copy gives one cast."""

    name = models.CharField(max_length=80, unique=True)
    silhouette = models.CharField(max_length=20, default="block")
    volume_ul = models.BigIntegerField(null=True, blank=True, help_text="mean of the kept water fills")
    fill_minutes = models.PositiveSmallIntegerField(default=2)
    open_minutes = models.PositiveSmallIntegerField(default=3)
    in_mould_minutes = models.PositiveIntegerField(
        null=True, blank=True, help_text="from the pour to opening; empty: what the compound says"
    )
    clean_and_dry_minutes = models.PositiveIntegerField(default=120)
    photo = models.ForeignKey("inventory.Photo", models.PROTECT, null=True, blank=True, related_name="+")
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(volume_ul__isnull=True) | Q(volume_ul__gt=0), name="mould_volume_positive"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Ended(models.TextChoices):
    """Why a copy is out of use for good."""

    WORN = "worn out", "worn out"
    BROKEN = "broken", "broken"
    GONE = "gone", "sold or lost"


class MouldCopy(models.Model):
    """One physical mould."""

    mould = models.ForeignKey(Mould, models.PROTECT, related_name="copies")
    number = models.PositiveSmallIntegerField()
    casts_before = models.PositiveIntegerField(default=0, help_text="casts made before they were kept here")
    casts_expected = models.PositiveIntegerField(default=60)
    price_minor = models.BigIntegerField(default=0)
    washed_at = models.DateTimeField(null=True, blank=True, help_text="last washed, or filled with water")
    lent_on = models.DateField(null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True)
    ended = models.CharField(max_length=8, choices=Ended, default=Ended.WORN)

    class Meta:
        ordering = ["mould", "number"]
        constraints = [
            models.UniqueConstraint(fields=["mould", "number"], name="mould_copy_number_once"),
            models.CheckConstraint(condition=Q(casts_expected__gt=0), name="mould_copy_life_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.mould} copy {self.number}"


class WaterFill(models.Model):
    """One weighing of a mould filled with water."""

    mould = models.ForeignKey(Mould, models.PROTECT, related_name="water_fills")
    water_mg = models.BigIntegerField()
    water_c = models.FloatField()
    filled_at = models.DateTimeField()
    left_out_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["filled_at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(water_mg__gt=0), name="water_fill_positive"),
            models.CheckConstraint(
                condition=Q(water_c__gte=5) & Q(water_c__lte=35), name="water_fill_temperature_in_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.water_mg} mg at {self.water_c} C"
