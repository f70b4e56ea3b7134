"""Mixes and casts: one jug of one compound and colour, and what it filled."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from production.models.articles import ArticlePart
from production.models.compounds import Colour, Compound
from production.models.moulds import MouldCopy
from production.models.plans import PlannedMix

REASONS = ("air bubbles", "lumps", "torn detail", "damp marks", "colour off", "cracked", "chipped")


class Outcome(models.TextChoices):
    """How a cast or piece came out."""

    GOOD = "good", "good"
    SECOND = "second", "second"
    SCRAP = "scrap", "scrap"


class Mix(models.Model):
    """One jug, from the powder going in."""

    number = models.PositiveIntegerField(unique=True)
    planned = models.OneToOneField(PlannedMix, models.SET_NULL, null=True, blank=True, related_name="mix")
    compound = models.ForeignKey(Compound, models.PROTECT, related_name="mixes")
    colour = models.ForeignKey(Colour, models.PROTECT, related_name="mixes")
    tops_up = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="top_ups",
        help_text="the first mix, whose recorded ratios this one repeats for the moulds it left out",
    )
    water_adjust_percent = models.FloatField(default=0)
    powder_mg = models.BigIntegerField()
    water_mg = models.BigIntegerField()
    dry_mg_per_ul = models.FloatField(help_text="dry mass expected per volume of cast")
    is_sieved = models.BooleanField(default=False)
    powder_opened_at = models.DateTimeField(
        null=True, blank=True, help_text="since when the powder's tub had been open"
    )
    powder_openings = models.PositiveIntegerField(
        null=True, blank=True, help_text="how often its lid had been off, this mix among them"
    )
    started_at = models.DateTimeField(help_text="powder in: the working time begins")
    poured_at = models.DateTimeField(null=True, blank=True, help_text="last mould filled, or stopped")
    is_stopped = models.BooleanField(default=False, help_text="went stiff before all moulds were filled")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-number"]
        verbose_name_plural = "mixes"
        # The Bench looks for what sets now among years of mixes.
        indexes = [
            models.Index(
                fields=["number"],
                condition=Q(poured_at__isnull=True, undone_at__isnull=True),
                name="mix_setting",
            )
        ]
        constraints = [
            models.CheckConstraint(condition=Q(powder_mg__gt=0), name="mix_powder_positive"),
            models.CheckConstraint(condition=Q(water_mg__gt=0), name="mix_water_positive"),
        ]

    def __str__(self) -> str:
        return f"Mix {self.number}"

    @property
    def first_id(self) -> int:
        """The mix that it tops up, or its own: matched parts come from mixes that share it."""
        return int(self.tops_up_id or self.pk)


class MixDraw(models.Model):
    """What the mix took from the stores, lot by lot: how a piece is traced to its powder."""

    mix = models.ForeignKey(Mix, models.PROTECT, related_name="draws")
    container = models.ForeignKey("inventory.Container", models.PROTECT, related_name="+")
    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="+")
    material = models.ForeignKey("inventory.Material", models.PROTECT, related_name="+")
    posting = models.ForeignKey("inventory.Posting", models.PROTECT, related_name="+")
    amount = models.BigIntegerField()

    class Meta:
        ordering = ["mix", "id"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="mix_draw_positive")]

    def __str__(self) -> str:
        return f"{self.amount} into mix {self.mix_id}"


class Piece(models.Model):
    """A finished article in the making, from the moment its parts are out of the mould."""

    mark = models.CharField(max_length=8, unique=True)
    article = models.ForeignKey("production.Article", models.PROTECT, related_name="pieces")
    colour = models.ForeignKey(Colour, models.PROTECT, related_name="pieces")
    wanted_by = models.CharField(max_length=40, blank=True, help_text="the demand it was poured for")
    outcome = models.CharField(max_length=6, choices=Outcome, default=Outcome.GOOD)
    reason = models.CharField(max_length=20, blank=True)
    out_at = models.DateTimeField(help_text="last part out of the mould")
    steps_done = models.PositiveSmallIntegerField(default=0)
    last_step_at = models.DateTimeField(help_text="when the present wait began")
    dry_called_at = models.DateTimeField(null=True, blank=True)
    ready_at = models.DateTimeField(null=True, blank=True, help_text="set when no hands are needed any more")
    shipped_at = models.DateTimeField(null=True, blank=True)
    photo = models.ForeignKey("inventory.Photo", models.SET_NULL, null=True, blank=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [
            # Shelf and packing look only at what has not left.
            models.Index(
                fields=["article", "colour"],
                condition=Q(shipped_at__isnull=True, undone_at__isnull=True),
                name="piece_here",
            ),
            # Needs count the steps done since the plan was adopted.
            models.Index(fields=["last_step_at"], name="piece_last_step"),
        ]

    def __str__(self) -> str:
        return self.mark


class Cast(models.Model):
    """One part in one mould copy from one mix."""

    mix = models.ForeignKey(Mix, models.PROTECT, related_name="casts")
    part = models.ForeignKey(ArticlePart, models.PROTECT, related_name="+")
    mould_copy = models.ForeignKey(MouldCopy, models.PROTECT, related_name="casts")
    wanted_by = models.CharField(max_length=40, blank=True)
    piece_colour = models.ForeignKey(
        Colour, models.PROTECT, related_name="+", help_text="of the piece it is for (a part may have its own)"
    )
    position = models.PositiveSmallIntegerField()
    fill_mg = models.BigIntegerField()
    poured_at = models.DateTimeField(null=True, blank=True)
    left_out_at = models.DateTimeField(null=True, blank=True, help_text="not filled after all")
    out_at = models.DateTimeField(null=True, blank=True)
    early_reason = models.CharField(max_length=80, blank=True, help_text="why it was opened before its time")
    outcome = models.CharField(max_length=6, choices=Outcome, blank=True)
    reason = models.CharField(max_length=20, blank=True)
    out_mg = models.BigIntegerField(null=True, blank=True, help_text="weighed out of the mould")
    piece = models.ForeignKey(Piece, models.PROTECT, null=True, blank=True, related_name="casts")
    photo = models.ForeignKey(
        "inventory.Photo",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
        help_text="how it came out",
    )

    class Meta:
        ordering = ["mix", "position"]
        indexes = [
            models.Index(
                fields=["wanted_by"],
                condition=Q(piece__isnull=True, left_out_at__isnull=True),
                name="cast_wanted",
            ),
            models.Index(
                fields=["mix"],
                condition=Q(out_at__isnull=False, outcome=""),
                name="cast_to_judge",
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["mix", "position"], name="cast_position_once"),
            models.UniqueConstraint(
                fields=["mould_copy"],
                condition=Q(out_at__isnull=True, left_out_at__isnull=True),
                name="cast_one_per_mould_copy",
            ),
            models.CheckConstraint(condition=Q(fill_mg__gt=0), name="cast_fill_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.part} in {self.mould_copy}"


class Weighing(models.Model):
    """One weighing of a piece on its way to dry."""

    piece = models.ForeignKey(Piece, models.PROTECT, related_name="weighings")
    weighed_at = models.DateTimeField()
    mass_mg = models.BigIntegerField()
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["weighed_at"]
        constraints = [models.CheckConstraint(condition=Q(mass_mg__gt=0), name="weighing_positive")]

    def __str__(self) -> str:
        return f"{self.mass_mg} mg"
