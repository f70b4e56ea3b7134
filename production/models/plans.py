"""Plans are records: adopted, never edited; the previous one stays."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from production.models.articles import Article, ArticlePart
from production.models.compounds import Colour, Compound
from production.models.moulds import Mould
from production.models.pins import MixPin


class Plan(models.Model):
    """One adopted plan. The newest one is what Week and Bench read."""

    class Ended(models.TextChoices):
        ALL_TRIES = "all tries", "all tries"
        PROVEN = "proven", "proven"
        STOPPED = "stopped", "stopped"
        WALL_LIMIT = "wall limit", "wall limit"

    adopted_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    starts_on = models.DateField(help_text="the Monday its calendar begins on")
    planned_from = models.DateTimeField()
    points = models.IntegerField()
    mixes_count = models.PositiveIntegerField()
    early_piece_days = models.FloatField()
    tries = models.PositiveIntegerField(default=0)
    ended = models.CharField(max_length=12, choices=Ended, default=Ended.ALL_TRIES)
    bound_points = models.IntegerField(null=True, blank=True, help_text="no plan has fewer; empty: not known")
    bound_mixes = models.PositiveIntegerField(
        null=True, blank=True, help_text="no plan with its points or fewer has fewer; empty: not known"
    )
    missing = models.CharField(max_length=40, blank=True, help_text="what looks further and is not installed")
    kept_mixes = models.PositiveIntegerField(default=0, help_text="of the plan before it")
    mixes_before = models.PositiveIntegerField(default=0, help_text="that the plan before it had ahead")

    pour_ahead_minutes = models.PositiveIntegerField(default=0, help_text="of the list rule that made it")
    look_ahead_minutes = models.PositiveIntegerField(default=0, help_text="of the list rule that made it")
    least_fill = models.FloatField(default=0, help_text="of the list rule that made it, 0 to 1")
    not_ordered = models.JSONField(default=list, help_text="what it takes that is neither here nor ordered")

    because = models.CharField(max_length=200, blank=True, help_text="why it was made, a sentence")
    undone_at = models.DateTimeField(null=True, blank=True, help_text="taken back: the plan before it counts")

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"plan of {self.adopted_at:%Y-%m-%d %H:%M}"


class PlannedMix(models.Model):
    """One mix the plan asks for."""

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="mixes")
    position = models.PositiveIntegerField()
    starts_at = models.DateTimeField()
    poured_by = models.DateTimeField(help_text="last mould filled")
    opens_at = models.DateTimeField()
    compound = models.ForeignKey(Compound, models.PROTECT, related_name="+")
    colour = models.ForeignKey(Colour, models.PROTECT, related_name="+")
    pin = models.ForeignKey(MixPin, models.PROTECT, null=True, blank=True, related_name="planned")

    class Meta:
        ordering = ["starts_at", "position"]
        constraints = [models.UniqueConstraint(fields=["plan", "position"], name="planned_mix_position_once")]

    def __str__(self) -> str:
        return f"{self.colour} in {self.compound} at {self.starts_at:%a %H:%M}"


class PlannedLine(models.Model):
    """One line of demand as the plan sees it: when it is ready, how late, and what held it."""

    # Known to whoever keeps the orders, not to the plan; set by the query that asks them.
    has_left: bool = False

    class HeldBy(models.TextChoices):
        MOULD = "mould", "mould"
        HANDS = "hands", "hands"
        POWDER = "powder", "powder"
        MATERIAL = "material", "material"
        CLOSED = "closed days", "closed days"
        NO_POURS = "no pours", "no pours"
        ORDERED_LATE = "ordered too late", "ordered too late"

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="lines")
    wanted_by = models.CharField(max_length=40, help_text="key of the demand, such as line:12")
    board = models.PositiveSmallIntegerField(default=1, help_text="drying board of a long line")
    label = models.CharField(max_length=80, help_text="order number or market day")
    article = models.ForeignKey(Article, models.PROTECT, related_name="+")
    colour = models.ForeignKey(Colour, models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField()
    ship_by = models.DateField()
    packed_at = models.DateTimeField(null=True, blank=True, help_text="empty: not placed in the calendar")
    days_late = models.PositiveIntegerField(default=0)
    urgency_minutes = models.IntegerField(
        default=0, help_text="added to its latest starts by the search; negative: more urgent"
    )
    held_by = models.CharField(max_length=20, choices=HeldBy, blank=True)
    held_facts = models.JSONField(default=dict)
    steps = models.JSONField(default=list, help_text="[name, ISO start, minutes] of each finishing step")

    class Meta:
        ordering = ["ship_by", "id"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "wanted_by", "board"], name="planned_line_board_once")
        ]

    def __str__(self) -> str:
        return f"{self.label}: {self.quantity} {self.article}"


class PlannedCast(models.Model):
    """Casts of one part that a planned mix fills for one line of demand."""

    planned_mix = models.ForeignKey(PlannedMix, models.CASCADE, related_name="casts")
    line = models.ForeignKey(PlannedLine, models.CASCADE, related_name="casts")
    part = models.ForeignKey(ArticlePart, models.PROTECT, related_name="+")
    mould = models.ForeignKey(Mould, models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField(help_text="order of filling")
    quantity = models.PositiveIntegerField()

    class Meta:
        ordering = ["planned_mix", "position"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="planned_cast_quantity_positive")
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.part}"
