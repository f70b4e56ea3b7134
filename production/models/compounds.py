"""Compounds and colours: what a mix is made of."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Compound(models.Model):
    """A powder system with its ratio and times."""

    name = models.CharField(max_length=60, unique=True)
    powder = models.ForeignKey("inventory.Material", models.PROTECT, related_name="+")
    water_ratio = models.FloatField(help_text="mass of water per mass of powder")
    least_water_ratio = models.FloatField(default=0.186, help_text="what the powder takes up to set")
    bound_water_ratio = models.FloatField(default=0.186, help_text="water that stays in the dry casting")
    powder_density_g_per_ml = models.FloatField(default=2.63)
    measured_yield_ml_per_100g = models.FloatField(
        null=True, blank=True, help_text="slurry from 100 g of powder at the ratio, if measured"
    )
    overfill = models.FloatField(default=0.03)
    sieve_allowance = models.FloatField(default=0.02)
    pigment_load_most = models.FloatField(default=0.10)
    residue_mg = models.BigIntegerField(default=30_000, help_text="left in the jug by every mix")
    jug_most_mg = models.BigIntegerField(default=3_500_000, help_text="most slurry the jug holds")
    scale_step_mg = models.PositiveIntegerField(
        default=1_000, help_text="least that the scale for powder and water shows"
    )
    pigment_step_mg = models.PositiveIntegerField(
        default=100, help_text="least that the scale for pigment shows"
    )
    working_time_minutes = models.PositiveSmallIntegerField(default=12)
    weigh_and_mix_minutes = models.PositiveSmallIntegerField(default=10)
    stir_minutes = models.PositiveSmallIntegerField(default=3, help_text="of the working time")
    clean_up_minutes = models.PositiveSmallIntegerField(default=5)
    open_after_minutes = models.PositiveIntegerField(default=90, help_text="from the pour to opening")
    dry_hours = models.PositiveIntegerField(default=48)
    cautions = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(water_ratio__gte=models.F("least_water_ratio")),
                name="compound_ratio_enough_to_set",
            ),
            models.CheckConstraint(
                condition=Q(jug_most_mg__gt=models.F("residue_mg")), name="compound_jug_over_residue"
            ),
            models.CheckConstraint(
                condition=Q(working_time_minutes__gt=0), name="compound_working_time_positive"
            ),
            models.CheckConstraint(
                condition=Q(scale_step_mg__gt=0, pigment_step_mg__gt=0), name="compound_scale_steps_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def sieve_percent(self) -> float:
        """What the sieve keeps of old or lumpy powder."""
        return self.sieve_allowance * 100

    @property
    def pigment_percent(self) -> float:
        """The most pigment it carries: grams for 100 g of powder."""
        return self.pigment_load_most * 100


class Colour(models.Model):
    """A colour of the range, with the shade it is drawn in."""

    name = models.CharField(max_length=40, unique=True)
    hex = models.CharField(max_length=7, default="#B4BABB")
    tint_of = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="tints")
    strength = models.FloatField(null=True, blank=True, help_text="part of the parent's pigments, for a tint")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(tint_of__isnull=True, strength__isnull=True)
                | Q(tint_of__isnull=False, strength__gt=0, strength__lt=1),
                name="colour_tint_has_strength",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def strength_percent(self) -> float:
        """How much of its parent's pigments a tint has."""
        return (self.strength or 1) * 100


class ColourPigment(models.Model):
    """How much of one pigment a colour takes in one compound, per mass of powder."""

    colour = models.ForeignKey(Colour, models.PROTECT, related_name="pigments")
    compound = models.ForeignKey(Compound, models.PROTECT, related_name="pigments")
    pigment = models.ForeignKey("inventory.Material", models.PROTECT, related_name="+")
    load = models.FloatField(help_text="mass of pigment per mass of powder")

    class Meta:
        ordering = ["colour", "compound", "-load"]
        constraints = [
            models.UniqueConstraint(
                fields=["colour", "compound", "pigment"], name="colour_pigment_once_per_compound"
            ),
            models.CheckConstraint(
                condition=Q(load__gte=0) & Q(load__lt=0.5), name="colour_pigment_load_sane"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.colour}: {self.pigment_id} {self.load}"
