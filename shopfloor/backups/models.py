"""The record of copies: one row for each try, good or not."""

from __future__ import annotations

from django.db import models


class KeptCopy(models.Model):
    """A copy of everything that was tried: where it is, or what went wrong."""

    class Why(models.TextChoices):
        NIGHT = "night", "each night"
        ASKED = "asked", "asked for"

    made_at = models.DateTimeField()
    why = models.CharField(max_length=5, choices=Why)
    name = models.CharField(max_length=80, blank=True, help_text="name of the file; empty when none was made")
    size_bytes = models.BigIntegerField(default=0)
    entries = models.BigIntegerField(
        null=True, blank=True, help_text="ledger entries that agreed when the copy was tried"
    )
    fault = models.CharField(max_length=300, blank=True)
    second_fault = models.CharField(
        max_length=300, blank=True, help_text="why it is not in the second folder too"
    )

    class Meta:
        ordering = ["-made_at", "-id"]
        verbose_name_plural = "kept copies"

    def __str__(self) -> str:
        return self.name or self.fault
