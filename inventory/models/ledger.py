"""The append-only ledger and the record of every act. The database refuses to change or delete any of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.models.containers import Place
from inventory.models.materials import Lot


class Act(models.Model):
    """One thing somebody did: the history of the studio, and the memory that answers a repeated tap."""

    request_key = models.UUIDField(unique=True)
    name = models.CharField(max_length=60, help_text="app.operation")
    content_digest = models.CharField(max_length=64)
    said = models.CharField(max_length=300, help_text="what the app said it did")
    answer = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    undoes = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="undone_by")

    class Meta:
        ordering = ["recorded_at", "id"]
        indexes = [models.Index(fields=["-recorded_at"], name="act_recorded")]

    def __str__(self) -> str:
        return self.said


class Posting(models.Model):
    """A group of entries that belong to one act."""

    class Kind(models.TextChoices):
        RECEIPT = "receipt", "receipt"
        DECANT = "decant", "decant"
        DRAW = "draw", "draw"
        SIEVE_LOSS = "sieve loss", "sieve loss"
        COUNT = "count", "count"
        SPILL = "spill", "spill"
        CORRECTION = "correction", "correction"

    kind = models.CharField(max_length=12, choices=Kind)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=120, blank=True)
    request_key = models.UUIDField(help_text="of the act it belongs to")
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["request_key"], name="posting_request_key"),
            # What happened in a month, or since a day, without reading the years before.
            models.Index(fields=["happened_at"], name="posting_happened"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}"


class Entry(models.Model):
    """A positive amount of one lot moved from one place to another."""

    posting = models.ForeignKey(Posting, models.PROTECT, related_name="entries")
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="entries")
    source = models.ForeignKey(Place, models.PROTECT, related_name="entries_out")
    destination = models.ForeignKey(Place, models.PROTECT, related_name="entries_in")
    amount = models.BigIntegerField()

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "entries"
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="entry_amount_positive"),
            models.CheckConstraint(condition=~Q(source=F("destination")), name="entry_moves"),
        ]
        indexes = [
            # The latest postings of one tub, however many it has seen.
            models.Index(fields=["source", "posting"], name="entry_out_by_posting"),
            models.Index(fields=["destination", "posting"], name="entry_in_by_posting"),
        ]

    def __str__(self) -> str:
        return f"{self.amount} of {self.lot_id}"


class Holding(models.Model):
    """What a container holds of a lot now: a sum over the entries, changed only together with them."""

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="holdings")
    place = models.ForeignKey(Place, models.PROTECT, related_name="holdings")
    amount = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lot", "place"], name="holding_one_per_lot_and_place"),
            models.CheckConstraint(condition=Q(amount__gte=0), name="holding_not_negative"),
        ]
        # What is held now is a handful of rows among all the lots that were used up.
        indexes = [models.Index(fields=["amount"], name="holding_amount")]

    def __str__(self) -> str:
        return f"{self.amount} of {self.lot_id} at {self.place_id}"
