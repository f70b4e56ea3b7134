"""The times that were seen, and taking one of them over into the plans."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, refuse
from inventory.errors import StudioError
from inventory.queries.acts import acts_done
from inventory.roles import for_everyone, is_owner, owner_only
from production.operations.learning import MEDIAN, NINETIETH, take_time_over
from production.queries.times_seen import (
    DRYING,
    FILLING,
    MOULD_OPENING,
    OPENING,
    WAIT,
    WEEKS_BACK,
    TimeSeen,
    times_seen,
)

HISTORY_MOST = 30
SECTIONS = (
    ("Opening", (OPENING, MOULD_OPENING), "from the pour to the opening"),
    ("Filling", (FILLING,), "from one mould's tap to the next"),
    ("Drying", (DRYING,), "from the mould to dry by weight, or called dry"),
    ("Between steps", (WAIT,), "from one step with hands to the next, with what passes between them"),
)


@for_everyone
@require_GET
def times(request: HttpRequest) -> HttpResponse:
    """What was seen beside what plans reckon with, and what was taken over so far."""
    found = times_seen(now=request.studio.now(), local=request.studio.local)
    context = {
        "sections": [
            (name, how, [_row(one) for one in found if one.kind in kinds]) for name, kinds, how in SECTIONS
        ],
        "weeks": WEEKS_BACK,
        "history": acts_done("production.take_time_over", HISTORY_MOST),
        "is_owner": is_owner(request.user),
    }
    return render(request, "production/times_seen.html", context)


@owner_only
@require_POST
def take_over(request: HttpRequest) -> HttpResponse:
    """Let plans reckon with one of them."""
    typed = request.POST
    try:
        subject_id, minutes = int(typed.get("subject", "")), int(typed.get("minutes", ""))
        content = {"kind": typed.get("kind", ""), "subject_id": subject_id, "seen": typed.get("seen", "")}
        do(request, take_time_over, **content, minutes=minutes, local=request.studio.local)
    except ValueError:
        refuse(request, StudioError("This page is too old to answer. Open it again."))
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:times-seen")


def _row(time: TimeSeen) -> dict[str, object]:
    """One time with its two plates; one that plans reckon with already has none."""
    plates = []
    if time.spread is not None and time.spread.is_enough:
        for seen, minutes, words in (
            (MEDIAN, time.median_minutes, time.median_words),
            (NINETIETH, time.ninetieth_minutes, time.ninetieth_words),
        ):
            shown_before = plates and plates[-1]["words"] == words
            if minutes != time.used_minutes and not shown_before:
                hidden = {"kind": time.kind, "subject": time.subject_id, "seen": seen, "minutes": minutes}
                plates.append({"words": words, "hidden": hidden})
    return {"time": time, "plates": plates}


urlpatterns = [
    path("shelf/times/", times, name="times-seen"),
    path("shelf/times/take-over/", take_over, name="take-time-over"),
]
