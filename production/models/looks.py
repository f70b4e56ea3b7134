"""Looks into the late lines of a plan: why each is late, and what would help. Kept beside the plan."""

from __future__ import annotations

from django.db import models

from production.models.moulds import Mould
from production.models.plans import Plan, PlannedLine


class LateLook(models.Model):
    """One look into the late lines of one plan; looked into again, the new look takes its place."""

    plan = models.OneToOneField(Plan, models.CASCADE, related_name="late_look")
    looked_at = models.DateTimeField()
    points = models.IntegerField(help_text="of the plan after the same tries as every offer got")
    mixes_count = models.PositiveIntegerField(help_text="of the plan after the same tries as every offer got")
    solves = models.PositiveIntegerField()
    is_whole = models.BooleanField(help_text="no: it was stopped before its end")
    enough = models.JSONField(default=list, help_text="powders and materials that last for all of it")

    def __str__(self) -> str:
        return f"look into {self.plan}"


class LateReason(models.Model):
    """Why one late line is late, found by planning again with limits lifted."""

    class Kind(models.TextChoices):
        CANNOT = "cannot be made", "cannot be made"
        TOO_LATE = "too late already", "too late already"
        LIMIT = "limit", "limit"
        TOGETHER = "together", "together"
        SEARCH = "longer search", "longer search"
        NONE = "not found", "not found"
        NOT_YET = "not looked into", "not looked into"

    look = models.ForeignKey(LateLook, models.CASCADE, related_name="reasons")
    line = models.OneToOneField(PlannedLine, models.CASCADE, related_name="late_reason")
    kind = models.CharField(max_length=20, choices=Kind)
    limits = models.JSONField(
        default=list, help_text="kind and name of each, with the mould's figures of then"
    )
    poured_by = models.DateTimeField(null=True, blank=True, help_text="latest start of its first mix")
    earliest_packed = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.line}: {self.kind}"


class LateOffer(models.Model):
    """One thing that might help, and what it would save against the unchanged plan."""

    class Kind(models.TextChoices):
        COPY = "one more copy", "one more copy"
        HOUR = "an hour more a day", "an hour more a day"
        SATURDAYS = "Saturday hands", "Saturday hands"
        PAIR = "a second pair of hands", "a second pair of hands"
        EARLIER = "two days earlier", "two days earlier"
        JUG = "a bigger jug", "a bigger jug"
        PARTS = "two parts", "two parts"

    look = models.ForeignKey(LateLook, models.CASCADE, related_name="offers")
    position = models.PositiveSmallIntegerField(help_text="what saves most first")
    kind = models.CharField(max_length=30, choices=Kind)
    name = models.CharField(max_length=120, blank=True, help_text="of the mould or material it is about")
    mould = models.ForeignKey(Mould, models.PROTECT, null=True, blank=True, related_name="+")
    line = models.ForeignKey(
        PlannedLine, models.CASCADE, null=True, blank=True, related_name="+", help_text="sent in two parts"
    )
    pieces = models.PositiveIntegerField(default=0, help_text="that leave first, in two parts")
    points_saved = models.IntegerField()
    mixes_saved = models.IntegerField(help_text="below 0: it takes more of them")
    by_lifting = models.BooleanField(
        help_text="all there could be of it saves nothing, so this saves nothing"
    )

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["look", "position"], name="late_offer_position_once"),
            models.CheckConstraint(condition=models.Q(points_saved__gte=0), name="late_offer_never_worse"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.name}".strip()


class OfferedLine(models.Model):
    """How much less late an offer makes one line; no days: not placed in the calendar."""

    offer = models.ForeignKey(LateOffer, models.CASCADE, related_name="lines")
    line = models.ForeignKey(PlannedLine, models.CASCADE, related_name="+")
    days_before = models.PositiveIntegerField(null=True, blank=True)
    days_after = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["offer", "id"]

    def __str__(self) -> str:
        return f"{self.line}: {self.days_after} days late with {self.offer}"
