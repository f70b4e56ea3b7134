"""Swatches: how a dry casting of a recipe, or of one mix, measures and looks."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from production.arithmetic.colour_difference import Lab
from production.models.compounds import Colour, Compound
from production.models.mixes import Mix

MEASURED_OR_SEEN = (
    Q(lightness__isnull=False, a__isnull=False, b__isnull=False)
    | Q(lightness__isnull=True, a__isnull=True, b__isnull=True, photo__isnull=False)
)  # fmt: skip


class Swatch(models.Model):
    """A colour by a colour meter (CIELAB), a photo, or both."""

    lightness = models.FloatField(null=True, blank=True, help_text="L*, 0 black to 100 white")
    a = models.FloatField(null=True, blank=True, help_text="a*, green below 0, red above")
    b = models.FloatField(null=True, blank=True, help_text="b*, blue below 0, yellow above")
    photo = models.ForeignKey("inventory.Photo", models.PROTECT, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField()

    class Meta:
        abstract = True

    @property
    def lab(self) -> Lab | None:
        """What the meter showed, None when there is only a photo."""
        if self.lightness is None or self.a is None or self.b is None:
            return None
        return Lab(self.lightness, self.a, self.b)


class RecipeSwatch(Swatch):
    """What a colour in a compound should come out as."""

    colour = models.ForeignKey(Colour, models.CASCADE, related_name="swatches")
    compound = models.ForeignKey(Compound, models.CASCADE, related_name="swatches")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["colour", "compound"], name="recipe_swatch_once"),
            models.CheckConstraint(condition=MEASURED_OR_SEEN, name="recipe_swatch_measured_or_seen"),
        ]

    def __str__(self) -> str:
        return f"{self.colour} in {self.compound}"


class MixSwatch(Swatch):
    """What one mix came out as, dry."""

    mix = models.OneToOneField(Mix, models.CASCADE, related_name="swatch")

    class Meta:
        verbose_name_plural = "mix swatches"
        constraints = [
            models.CheckConstraint(condition=MEASURED_OR_SEEN, name="mix_swatch_measured_or_seen"),
        ]

    def __str__(self) -> str:
        return f"swatch of {self.mix}"
