"""The Bench, and what is tapped while a mix sets."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, refuse
from inventory.errors import StudioError
from inventory.queries.acts import acts_standing
from inventory.roles import for_everyone, is_owner
from production.forms.bench import TimeForm, happened_at
from production.operations.pouring import pour_cast, pour_rest, stop_mix
from production.operations.undoing import UNDO
from production.queries.bench import bench_now
from production.queries.ingredients import beginning
from production.queries.setting import MixInHand
from production.views.bench_pictures import today_picture, working_time_picture

CLOSING = timedelta(minutes=2)
LATELY, LATELY_MOST = timedelta(days=1), 20


@for_everyone
@require_GET
def bench(request: HttpRequest) -> HttpResponse:
    """What hands should do now."""
    now = request.studio.now()
    found = bench_now(now=now, pairs=request.studio.hours.pairs_at(now))
    in_hand = _chosen(found.setting, request.GET.get("mix", ""))
    context = {
        "bench": found,
        "mix": in_hand,
        "others": [mix for mix in found.setting if mix is not in_hand],
        "panel": panel_class(in_hand, now) if in_hand else "",
        "over": span_over(in_hand, now) if in_hand else "",
        "today_picture": today_picture(found.today, request.studio, now),
        "working_time": working_time_picture(in_hand, request.studio, now) if in_hand else None,
        "time_form": TimeForm(now=now),
        "now": now,
    }
    if found.claim in ("no moulds", "nothing") and not found.next_mix:
        context |= {"beginning": beginning(), "has_hours": bool(request.studio.hours.weekly)}
        context["is_owner"] = is_owner(request.user)
    return render(request, "production/bench.html", context)


@for_everyone
@require_GET
def lately(request: HttpRequest) -> HttpResponse:
    """What was tapped in the past day, each with its Undo."""
    now = request.studio.now()
    acts = acts_standing(UNDO, since=now - LATELY, most=LATELY_MOST)
    return render(request, "production/bench_lately.html", {"acts": acts, "now": now})


@for_everyone
@require_POST
def pour(request: HttpRequest, cast_id: int) -> HttpResponse:
    """One mould is filled."""
    return _tap(request, pour_cast, cast_id=cast_id)


@for_everyone
@require_POST
def pour_left(request: HttpRequest, mix_id: int) -> HttpResponse:
    """All moulds that were left are filled, now or at the time typed."""
    form = TimeForm(request.POST, now=request.studio.now())
    if not form.is_valid():
        refuse(request, StudioError(" ".join(form.errors["at"])))
        return redirect("production:bench")
    return _tap(request, pour_rest, mix_id=mix_id, **happened_at(form))


@for_everyone
@require_POST
def stop(request: HttpRequest, mix_id: int) -> HttpResponse:
    """The mix went stiff."""
    return _tap(request, stop_mix, mix_id=mix_id)


def panel_class(mix: MixInHand, now: object) -> str:
    """The class of the in-hand panel by the time left: "", closing, over."""
    left = mix.stiff_at - now  # type: ignore[operator]
    if left <= timedelta():
        return "over"
    return "closing" if left <= CLOSING else ""


def span_over(mix: MixInHand, now: object) -> str:
    """How long a mix is over its working time, "1:20", or "" while it is not."""
    over = (now - mix.stiff_at).total_seconds()  # type: ignore[operator]
    return f"{int(over // 60)}:{int(over % 60):02}" if over > 0 else ""


def _chosen(setting: tuple[MixInHand, ...], number: str) -> MixInHand | None:
    """The mix asked for by its number, else the one with the least time left."""
    asked = [mix for mix in setting if str(mix.number) == number]
    return next(iter([*asked, *setting]), None)


def _tap(request: HttpRequest, operation: object, **content: object) -> HttpResponse:
    try:
        do(request, operation, **content)  # type: ignore[arg-type]
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:bench")


urlpatterns = [
    path("bench/", bench, name="bench"),
    path("bench/lately/", lately, name="lately"),
    path("bench/pour/<int:cast_id>/", pour, name="pour"),
    path("bench/pour-rest/<int:mix_id>/", pour_left, name="pour-rest"),
    path("bench/stop/<int:mix_id>/", stop, name="stop"),
]
