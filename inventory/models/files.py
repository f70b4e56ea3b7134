"""Files of the opening content of the stores that were kept."""

from __future__ import annotations

from django.db import models


class OpeningRow(models.Model):
    """One row of a file that was kept: its digest, so that the same row is never taken in twice."""

    digest = models.CharField(max_length=64, unique=True)
    lot = models.OneToOneField("inventory.Lot", models.PROTECT, related_name="opening_row")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.digest[:8]
