"""The pictures themselves, for whoever is signed in."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpRequest, HttpResponseBase
from django.views.decorators.http import require_GET

from inventory.queries.photos import photo_path
from inventory.roles import for_everyone


@for_everyone
@require_GET
def photo(request: HttpRequest, name: str, size: str) -> HttpResponseBase:
    """One photo. It never changes under its name, so a browser may keep it; nobody between may."""
    try:
        file = photo_path(name, is_small=size == "small").open("rb")
    except (ValueError, FileNotFoundError):
        raise Http404("There is no such photo.") from None
    answer = FileResponse(file, content_type="image/jpeg")
    answer["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer
