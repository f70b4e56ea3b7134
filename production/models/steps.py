"""What was really done to pieces after casting, and what it took from the stores."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from production.models.articles import RouteStep
from production.models.mixes import Piece


class StepDone(models.Model):
    """One step done to one piece, with the route's figures as they stood then.

    `position` is the place in the route, from 1. `waited_from` is when its wait began, `due_at` when it was
    over. `pieces` had it in one go and share `minutes_per_board`.
    """

    piece = models.ForeignKey(Piece, models.PROTECT, related_name="done_steps")
    step = models.ForeignKey(RouteStep, models.SET_NULL, null=True, related_name="+")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=30, help_text="coat, fill, fit, or the studio's own word")
    name = models.CharField(max_length=40)
    waited_from = models.DateTimeField()
    due_at = models.DateTimeField()
    done_at = models.DateTimeField()
    pieces = models.PositiveSmallIntegerField()
    minutes_each = models.PositiveSmallIntegerField()
    minutes_per_board = models.PositiveSmallIntegerField()
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["piece", "position"]
        verbose_name_plural = "steps done"
        constraints = [
            models.UniqueConstraint(
                fields=["piece", "position"], condition=Q(undone_at__isnull=True), name="step_done_once"
            ),
            models.CheckConstraint(condition=Q(pieces__gt=0), name="step_done_on_pieces"),
        ]

    def __str__(self) -> str:
        return f"{self.name} on {self.piece}"


class StepDraw(models.Model):
    """What one piece took in a step, lot by lot: how it is traced to its sealer and its wax."""

    done = models.ForeignKey(StepDone, models.PROTECT, related_name="draws")
    container = models.ForeignKey("inventory.Container", models.PROTECT, related_name="+")
    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="+")
    material = models.ForeignKey("inventory.Material", models.PROTECT, related_name="+")
    posting = models.ForeignKey("inventory.Posting", models.PROTECT, related_name="+")
    amount = models.BigIntegerField()

    class Meta:
        ordering = ["done", "id"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="step_draw_positive")]

    def __str__(self) -> str:
        return f"{self.amount} in {self.done}"
