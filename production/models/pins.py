"""Mixes that were put to a time by hand."""

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
