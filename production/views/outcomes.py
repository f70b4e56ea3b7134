"""How castings came out: the rates by mould, compound, powder lot, tub age and openings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta

from django.http import HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_GET

from inventory.arithmetic.csv_writing import csv_lines
from inventory.roles import for_everyone
from production.arithmetic.outcome_rates import counts
from production.forms.outcomes import WEEKS_FIRST, OutcomesForm
from production.queries.outcomes import outcomes_since
from production.views.outcome_words import cast_rows, percent, rate_rows, rates_shown, what_stands_out

PHOTOS_MOST = 24
BEGINNING = datetime(1970, 1, 1, tzinfo=UTC)


@for_everyone
@require_GET
def outcomes(request: HttpRequest) -> HttpResponseBase:
    """The page; with `csv` in the address the rates or the castings as a file."""
    now = request.studio.now()
    form = OutcomesForm({"weeks": WEEKS_FIRST, **request.GET.dict()})
    weeks, counted = form.narrowed()
    found = outcomes_since(BEGINNING if weeks is None else now - timedelta(weeks=weeks))
    casts = [one.seen for one in found]
    today = request.studio.local(now).date()
    if request.GET.get("csv") == "rates":
        return _file(rate_rows(casts, counted), f"outcomes by group {today}.csv")
    if request.GET.get("csv") == "castings":
        return _file(cast_rows(found, request.studio.local), f"outcomes by casting {today}.csv")
    bad = sum(counts(cast, counted) for cast in casts)
    context = {
        "form": OutcomesForm(initial={"weeks": "all" if weeks is None else weeks, "counted": counted}),
        "casts": len(casts),
        "bad": bad,
        "part": percent(bad / len(casts)) if casts else "",
        "counted": counted,
        "weeks": "all" if weeks is None else weeks,
        "stands_out": what_stands_out(casts, counted),
        "photos": [one for one in found if one.photo and counts(one.seen, counted)][:PHOTOS_MOST],
        "kinds": rates_shown(casts, counted) if casts else [],
    }
    return render(request, "production/outcomes.html", context)


def _file(rows: Iterator[Sequence[object]], filename: str) -> StreamingHttpResponse:
    answer = StreamingHttpResponse(csv_lines(rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


urlpatterns = [path("shelf/outcomes/", outcomes, name="outcomes")]
