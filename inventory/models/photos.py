"""Photos: of moulds, colours, articles and what went wrong. Others point here; the picture is a file."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class Photo(models.Model):
    """One photo that was sent in. Its files bear `name`, which cannot be guessed, and are never changed."""

    name = models.CharField(max_length=43, unique=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-kept_at", "-id"]

    def __str__(self) -> str:
        return f"photo of {self.kept_at:%d %b %Y}"
