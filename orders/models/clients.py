"""Programs that may ask and order over HTTP, and what they were answered."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class ApiClient(models.Model):
    """A program the owner let in. Only the digest of its token is kept."""

    name = models.CharField(max_length=60)
    token_digest = models.CharField(max_length=64, unique=True)
    scopes = models.JSONField(default=list, help_text="orders:read, orders:write, stores:read")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    used_at = models.DateTimeField(null=True, blank=True, help_text="to the minute")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["ended_at", "name", "id"]

    def __str__(self) -> str:
        return self.name


class ApiAnswer(models.Model):
    """What a request that changed something was answered, by its key: the same key gets the same answer."""

    client = models.ForeignKey(ApiClient, models.CASCADE, related_name="answers")
    key = models.CharField(max_length=255)
    request_digest = models.CharField(max_length=64, help_text="of method, path and content")
    made_at = models.DateTimeField(db_index=True)
    code = models.PositiveSmallIntegerField(default=0)
    body = models.JSONField(default=dict)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["client", "key"], name="api_answer_once_per_key")]

    def __str__(self) -> str:
        return f"{self.code} for {self.key}"
