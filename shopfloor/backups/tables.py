"""Which tables are the studio's own, for taking all of them along."""

from __future__ import annotations

from django.apps import apps
from django.db.models import Model

# Made anew by every migrate.
MADE_BY_MIGRATE = ("contenttypes.contenttype", "auth.permission")
# What only matters here and now: who is signed in, who guessed a password, what work waits.
PASSING = ("sessions.session", "jobs.job")
PASSING_APPS = ("axes",)


def tables_to_move() -> list[type[Model]]:
    """Every table that a studio needs to live on elsewhere, rows of many-to-many fields included."""
    return [
        model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed
        and not model._meta.proxy
        and model._meta.label_lower not in (*MADE_BY_MIGRATE, *PASSING)
        and model._meta.app_label not in PASSING_APPS
    ]


def tables_to_read() -> list[type[Model]]:
    """Every table that says something of the studio's work."""
    own = ("inventory", "production", "orders", "studio", "notices")
    return [model for model in tables_to_move() if model._meta.app_label in own]
