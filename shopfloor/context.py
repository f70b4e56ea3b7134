"""What the frame around every page reads."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest


def frame(request: HttpRequest) -> dict[str, Any]:
    """Areas, clock and said line."""
    return {}
