"""Notices: one per cause while it lasts."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Notice(models.Model):
    """Something worth knowing, opened and closed by the software."""

    class Kind(models.TextChoices):
        LOW = "low", "running low"
        OPENED_LIFE = "opened life", "opened life over"
        OPEN_MOULD = "open mould", "mould ready to open"
        DRY = "dry", "dry"
        COAT = "coat", "coat or fill due"
        CURED = "cured", "cure complete"
        MOULD_END = "mould end", "mould near its end"
        DELIVERY = "delivery", "delivery late"
        AT_RISK = "at risk", "order at risk"
        BACKUP = "backup", "backup failed"

    kind = models.CharField(max_length=12, choices=Kind)
    cause = models.CharField(max_length=80, help_text="stable key of the cause")
    text = models.CharField(max_length=300)
    link = models.CharField(max_length=120, blank=True)
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-opened_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["cause"], condition=Q(closed_at__isnull=True), name="notice_one_per_open_cause"
            )
        ]

    def __str__(self) -> str:
        return self.text
