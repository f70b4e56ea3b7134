"""A count of every tub in one go, that may be laid aside and taken up again."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.containers import Container


class CountRound(models.Model):
    """One round through the stores. Nothing changes in the ledger until it is posted as a whole."""

    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    is_posted = models.BooleanField(default=False)
    is_open = models.BooleanField(default=True)

    class Meta:
        ordering = ["-begun_at"]
        constraints = [
            # Two people count in one round, never in two.
            models.UniqueConstraint(fields=["is_open"], condition=Q(is_open=True), name="countround_one_open")
        ]

    def __str__(self) -> str:
        return f"round of {self.begun_at:%Y-%m-%d %H:%M}"


class CountReading(models.Model):
    """What one tub held when somebody looked: `counted` (thousandths), with `gross_mg` where it was weighed.

    What it should have held at `read_at` is reckoned from the ledger, so that taps recorded later count.
    """

    round = models.ForeignKey(CountRound, models.CASCADE, related_name="readings")
    container = models.ForeignKey(Container, models.PROTECT, related_name="+")
    gross_mg = models.BigIntegerField(null=True, blank=True)
    counted = models.BigIntegerField()
    reason = models.CharField(max_length=20, blank=True)
    read_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["round", "container"], name="countreading_one_per_tub"),
            models.CheckConstraint(condition=Q(counted__gte=0), name="countreading_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.counted} in {self.container_id}"
