"""What the owner tells every later plan: mixes put to a time by hand, and days kept free of pours."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from production.models.compounds import Colour, Compound


class MixPin(models.Model):
    """A mix of a compound and colour stays at a time in every later plan, until it is poured or released."""

    starts_at = models.DateTimeField()
    compound = models.ForeignKey(Compound, models.PROTECT, related_name="+")
    colour = models.ForeignKey(Colour, models.PROTECT, related_name="+")
    pinned_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    released_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["starts_at", "id"]

    def __str__(self) -> str:
        return f"{self.colour} in {self.compound} at {self.starts_at:%a %H:%M}"


class DayKeptFree(models.Model):
    """Nothing of a colour (empty: nothing at all) is poured on a day, until it is given back."""

    day = models.DateField()
    colour = models.ForeignKey(Colour, models.PROTECT, null=True, blank=True, related_name="+")
    kept_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    given_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["day", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["day", "colour"],
                condition=models.Q(given_back_at__isnull=True),
                name="day_kept_free_once",
            ),
            models.UniqueConstraint(
                fields=["day"],
                condition=models.Q(given_back_at__isnull=True, colour__isnull=True),
                name="day_kept_free_of_all_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day:%a} {self.day.day} without {self.colour or 'pours'}"
