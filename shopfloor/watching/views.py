"""`/healthz`: for programs that watch from outside."""

from __future__ import annotations

from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shopfloor.studio.visitors import for_visitors
from shopfloor.watching.findings import State, worst
from shopfloor.watching.quick import quick_findings


@for_visitors
@never_cache
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """How the studio stands, by name of what was looked at: 200, or 503 when people cannot work.

    Says nothing that a stranger could use: the sentences are for `manage.py doctor`.
    """
    findings = quick_findings(request.studio.now())  # type: ignore[attr-defined]
    state = worst(findings)
    return JsonResponse(
        {"state": state, **{finding.name: finding.state for finding in findings}},
        status=503 if state == State.DOWN else 200,
    )
