"""Notices: one per cause while it lasts; and what of them goes to whom by e-mail."""

from __future__ import annotations

from datetime import time
from uuid import uuid4

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
        MAIL = "mail", "e-mail not sent"

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


class How(models.TextChoices):
    """How somebody wants to hear of something by e-mail."""

    AT_ONCE = "at once", "as it comes"
    DIGEST = "digest", "once a day, together"
    NONE = "none", "not by e-mail"


class MailWish(models.Model):
    """What one person wants by e-mail, where, and when. Nothing is sent before the address is confirmed."""

    user = models.OneToOneField("auth.User", models.CASCADE, related_name="+")
    address = models.EmailField(blank=True)
    asked_at = models.DateTimeField(null=True, blank=True, help_text="when the address was typed")
    confirmed_at = models.DateTimeField(null=True, blank=True)
    hands = models.CharField(max_length=8, choices=How, default=How.NONE)
    orders = models.CharField(max_length=8, choices=How, default=How.AT_ONCE)
    stores = models.CharField(max_length=8, choices=How, default=How.DIGEST)
    studio = models.CharField(max_length=8, choices=How, default=How.AT_ONCE)
    digest_at = models.TimeField(default=time(7))
    quiet_from = models.TimeField(null=True, blank=True)
    quiet_until = models.TimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(quiet_from__isnull=True, quiet_until__isnull=True)
                | Q(quiet_from__isnull=False, quiet_until__isnull=False),
                name="mail_wish_quiet_from_and_until",
            )
        ]

    def __str__(self) -> str:
        return f"mail to {self.user_id}"


class Letter(models.Model):
    """One e-mail on its way: what it says is put together when it is sent."""

    class Kind(models.TextChoices):
        NOTICES = "notices", "notices"
        CONFIRM = "confirm", "confirm the address"

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        TAKEN = "taken", "being sent"
        HANDING = "handing", "being handed over"
        SENT = "sent", "sent"
        FAILED = "failed", "given up"
        DOUBT = "doubt", "not known whether it arrived"

    OPEN = (State.WAITING, State.TAKEN, State.HANDING)

    person = models.ForeignKey("auth.User", models.CASCADE, related_name="+")
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.NOTICES)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    mark = models.UUIDField(unique=True, default=uuid4, help_text="the same however often it is tried")
    made_at = models.DateTimeField()
    try_at = models.DateTimeField()
    attempts = models.PositiveSmallIntegerField(default=0)
    lease_until = models.DateTimeField(null=True, blank=True)
    lease_token = models.UUIDField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    said = models.CharField(max_length=200, blank=True, help_text="its subject, once it was put together")
    fault = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "kind"],
                condition=Q(state__in=["waiting", "taken", "handing"]),
                name="letter_one_open_per_person",
            )
        ]

    def __str__(self) -> str:
        return f"letter {self.kind} {self.state}"


class ToTell(models.Model):
    """One notice one person is to hear of, once; written with the notice. `letter` says it."""

    notice = models.ForeignKey(Notice, models.CASCADE, related_name="+")
    person = models.ForeignKey("auth.User", models.CASCADE, related_name="+")
    letter = models.ForeignKey(Letter, models.SET_NULL, null=True, blank=True, related_name="lines")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "to tell"
        constraints = [
            models.UniqueConstraint(fields=["notice", "person"], name="notice_told_to_a_person_once")
        ]

    def __str__(self) -> str:
        return f"notice {self.notice_id} to {self.person_id}"
