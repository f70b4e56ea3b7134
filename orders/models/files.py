"""Order files: what was read, and which column means what."""

from __future__ import annotations

from django.db import models


class OrderFile(models.Model):
    """A file that was imported; its digest makes the same file twice add nothing."""

    name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64, unique=True)
    imported_at = models.DateTimeField()
    orders_count = models.PositiveIntegerField()
    rows_count = models.PositiveIntegerField()

    class Meta:
        ordering = ["-imported_at"]

    def __str__(self) -> str:
        return self.name


class ColumnMapping(models.Model):
    """For one header row, which column holds what; remembered for the next file."""

    header_digest = models.CharField(max_length=64, unique=True)
    columns = models.JSONField(help_text="our field -> column heading")
    names = models.JSONField(default=dict, help_text="their article or colour name -> ours")

    def __str__(self) -> str:
        return self.header_digest[:8]
