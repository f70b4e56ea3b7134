"""What to weigh for a mix, thicker, thinner or with a mould left out, and the start of its working time."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, refuse
from inventory.errors import StudioError
from inventory.roles import for_everyone
from production.errors import AlreadyDone, NotThere
from production.forms.bench import WaterForm
from production.operations.pouring import start_mix
from production.queries.asked import MixAsked, asked_by_plan, asked_to_top_up
from production.queries.mix_weights import mix_to_weigh
from production.queries.progress import mix_numbers_ahead


@for_everyone
@require_GET
def weigh(request: HttpRequest, planned_id: int) -> HttpResponse:
    """The weights of a planned mix."""
    return _weigh(request, "planned", planned_id)


@for_everyone
@require_GET
def top_up(request: HttpRequest, mix_id: int) -> HttpResponse:
    """The weights for the moulds a mix left out."""
    return _weigh(request, "top-up", mix_id)


@for_everyone
@require_POST
def start(request: HttpRequest) -> HttpResponse:
    """Powder in."""
    typed = request.POST
    try:
        kind, key = typed["kind"], int(typed["key"])
        content = {
            "left_out": [int(entry) for entry in typed.get("out", "").split(",") if entry],
            "water_adjust_percent": float(typed["water"]) if typed.get("water") else None,
            "powder_mg": int(typed["powder_mg"]),
        }
    except (KeyError, ValueError):
        return _back_with(request, StudioError("This page is too old to answer. Open it again."))
    try:
        do(request, start_mix, **{_KEYS[kind]: key}, **content)
    except (AlreadyDone, NotThere) as fault:
        return _back_with(request, fault)
    except StudioError as fault:
        refuse(request, fault)
        changed = [("out", entry) for entry in content["left_out"]]
        changed += [("water", typed["water"])] if typed.get("water") else []
        return redirect(f"{_address(kind, key)}?{urlencode(changed)}" if changed else _address(kind, key))
    return redirect("production:bench")


_KEYS = {"planned": "planned_mix_id", "top-up": "tops_up_id"}


def _weigh(request: HttpRequest, kind: str, key: int) -> HttpResponse:
    try:
        asked = asked_by_plan(key) if kind == "planned" else asked_to_top_up(key)
    except StudioError as fault:
        return _back_with(request, fault)
    entries = [int(entry) for entry in request.GET.getlist("out") if entry.isdecimal()]
    water = WaterForm(request.GET if "water" in request.GET else None)
    percent = water.percent if water.is_bound else None
    adjust = asked.water_adjust_percent if percent is None else percent
    made_up = mix_to_weigh(asked.without(entries), now=request.studio.now(), water_adjust_percent=adjust)
    address = _address(kind, key)
    shown_water = "" if percent is None else f"{percent:g}"
    context = {
        "asked": asked,
        "made_up": made_up,
        "number": mix_numbers_ahead().get(key) if kind == "planned" else None,
        "water_form": water,
        "adjust": adjust,
        "entries": entries,
        "choices": _choices(asked, entries, shown_water, address),
        "address": address,
        "hidden": _hidden(
            kind, key, entries, shown_water, made_up.weights.powder_mg if made_up.weights else 0
        ),
    }
    return render(request, "production/bench_weigh.html", context)


def _hidden(kind: str, key: int, entries: list[int], water: str, powder_mg: int) -> dict[str, Any]:
    """What the start has to know of the page that was shown."""
    out = ",".join(str(entry) for entry in entries)
    return {"kind": kind, "key": key, "out": out, "water": water, "powder_mg": powder_mg}


def _choices(asked: MixAsked, entries: list[int], water: str, address: str) -> list[dict[str, Any]]:
    """For each mould kind: how many are filled, and the pages with one less and with all of them."""
    kept = [("water", water)] if water else []
    choices = []
    for cast in asked.casts:
        out = entries.count(cast.entry)
        others = [("out", entry) for entry in entries if entry != cast.entry]
        less = [("out", cast.entry)] * (out + 1)
        choices.append(
            {
                "mould": cast.mould,
                "filled": max(0, cast.quantity - out),
                "left_out": min(out, cast.quantity),
                "less_address": f"{address}?{urlencode([*kept, *others, *less])}",
                "all_address": f"{address}?{urlencode([*kept, *others])}",
            }
        )
    return choices


def _address(kind: str, key: int) -> str:
    return reverse("production:weigh" if kind == "planned" else "production:top-up", args=[key])


def _back_with(request: HttpRequest, fault: StudioError) -> HttpResponse:
    refuse(request, fault)
    return redirect("production:bench")


urlpatterns = [
    path("bench/weigh/<int:planned_id>/", weigh, name="weigh"),
    path("bench/top-up/<int:mix_id>/", top_up, name="top-up"),
    path("bench/start/", start, name="start"),
]
