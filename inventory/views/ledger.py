"""The whole ledger as a file, for the owner to keep."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect

from inventory.answers import refuse
from inventory.arithmetic.ledger_file import FORMATS
from inventory.errors import StudioError
from inventory.queries.export import exported_ledger
from inventory.roles import owner_only

KINDS = {"csv": "text/csv; charset=utf-8", "jsonl": "application/x-ndjson"}


@owner_only
def ledger_file(request: HttpRequest, form: str) -> HttpResponseBase:
    """Every posting as CSV or JSON lines, sent as it is read; checking it notices when it was cut short."""
    if form not in FORMATS:
        refuse(request, StudioError("Ask for the ledger as csv or as jsonl."))
        return redirect("inventory:list", "ledger")
    now = request.studio.now()
    lines = exported_ledger(form, now=now, currency=request.studio.facts.currency)
    answer = StreamingHttpResponse(lines, content_type=KINDS[form])
    day = request.studio.local(now).date()
    answer["Content-Disposition"] = f'attachment; filename="ledger {day}.{form}"'
    return answer
