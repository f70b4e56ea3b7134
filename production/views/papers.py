"""Papers of the bench."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_GET

from inventory.roles import for_everyone
from production.drawings.mould_to_piece import wave_rule
from production.queries.mix_sheet import mix_sheet


@for_everyone
@require_GET
def print_mix_sheet(request: HttpRequest) -> HttpResponse:
    """The days left of the week, to hang beside the scale."""
    studio = request.studio
    sheet = mix_sheet(now=studio.now(), local=studio.local)
    context = {"sheet": sheet, "facts": studio.facts, "wave": wave_rule()}
    return studio.paper(request, "production/papers/mix_sheet.html", context, "mix-sheet.pdf")


urlpatterns = [path("week/mix-sheet/", print_mix_sheet, name="mix-sheet")]
