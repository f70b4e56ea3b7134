"""Papers as PDF, or as print-ready pages where PDFs cannot be made."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string


def paper_response(request: HttpRequest, template: str, context: dict[str, Any], filename: str) -> HttpResponse:
    """The paper called `filename`, rendered from `template`."""
    return HttpResponse(render_to_string(template, context, request))
