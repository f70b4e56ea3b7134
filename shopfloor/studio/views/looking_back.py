"""What was done by whom, and who is signed in where."""

from __future__ import annotations

from datetime import date

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from inventory.answers import refuse
from inventory.errors import StudioError
from inventory.queries.acts import history_rows
from inventory.roles import for_everyone, is_owner, owner_only
from inventory.views.lists import csv_answer, paginate
from shopfloor.studio.history import HistoryNarrowing, HistoryTable
from shopfloor.studio.visits import end_visit
from shopfloor.studio.ways_in import noted


@owner_only
@require_safe
def history(request: HttpRequest) -> HttpResponseBase:
    """Every act, newest first; with `csv` in the address as a file of all that fit."""
    today: date = request.studio.local(request.studio.now()).date()  # type: ignore[attr-defined]
    form = HistoryNarrowing(request.GET, today=today)
    sort = request.GET.getlist("sort") or None
    table = HistoryTable(history_rows(**form.content()), order_by=sort, request=request)
    if "csv" in request.GET:
        return csv_answer(table, f"history {today}.csv")
    paginate(table, request.GET.get("page", ""))
    narrowed = any(request.GET.get(field) for field in form.fields)
    return render(
        request, "studio/history.html", {"area": "studio", "table": table, "form": form, "narrowed": narrowed}
    )


@for_everyone
@require_POST
def visit_end(request: HttpRequest, mark: str) -> HttpResponse:
    """Sign a browser out: one's own, or for the owner anybody's."""
    whose = None if is_owner(request.user) else request.user.pk
    person = end_visit(mark, now=request.studio.now(), user_id=whose)  # type: ignore[attr-defined]
    if person:
        noted(request, f"Signed {person} out of another browser.")
        request.session["said"] = {"text": f"{person} is signed out there.", "act_id": None}
    else:
        refuse(request, StudioError("That browser is not signed in any more."))
    return redirect("studio")
