"""Work waiting to be done: a row with a lease. The broker only rings the doorbell."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Job(models.Model):
    """One thing to do once. While it is waiting or under way its key is unique."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        RUNNING = "running", "running"
        DONE = "done", "done"
        FAILED = "failed", "failed"
        STOPPED = "stopped", "stopped"

    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=120, help_text="one job per key while it is waiting or running")
    payload = models.JSONField(default=dict)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    made_at = models.DateTimeField()
    due_at = models.DateTimeField()
    lease_until = models.DateTimeField(null=True, blank=True)
    lease_token = models.UUIDField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    progress_done = models.PositiveIntegerField(default=0)
    progress_of = models.PositiveIntegerField(default=0)
    saying = models.CharField(max_length=200, blank=True, help_text="what it is at, in plain words")
    stop_asked = models.BooleanField(default=False)
    result = models.JSONField(default=dict)
    fault = models.CharField(max_length=300, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["due_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["key"], condition=Q(state__in=["waiting", "running"]), name="job_key_once_while_open"
            )
        ]
        indexes = [
            models.Index(fields=["due_at"], condition=Q(state__in=["waiting", "running"]), name="job_open")
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key} {self.state}"


class Clock(models.Model):
    """Which of several clocks, of this machine or of others, rings: one row, held for a few rings."""

    holder = models.UUIDField(null=True)
    until = models.DateTimeField(null=True, help_text="by the database's own clock")

    def __str__(self) -> str:
        return f"held until {self.until}"
