"""Mix weights for any set of casts, worked out anew with every cast added or taken out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_GET

from inventory.errors import StudioError
from inventory.roles import for_everyone
from production.forms.bench import WaterForm
from production.queries.asked import asked_as_typed
from production.queries.mix_sets import CompoundOffered, PartOffered, compounds_offered
from production.queries.mix_weights import MixToWeigh, mix_to_weigh
from production.queries.offered import ColourOffered

CASTS_MOST = 99
Offered = TypeVar("Offered", CompoundOffered, ColourOffered)


@dataclass(frozen=True)
class Row:
    """A part with how many of it are in the mix; `wrong` is what was typed if that is no count."""

    part: PartOffered
    count: int
    wrong: str


@for_everyone
@require_GET
def mix_weights(request: HttpRequest) -> HttpResponse:
    """Choose a compound, a colour and casts; the grams follow."""
    now = request.studio.now()
    offered = compounds_offered(now=now)
    compound = _chosen(offered, request.GET.get("compound"))
    colour = _chosen(compound.colours, request.GET.get("colour")) if compound else None
    rows = [_row(part, request.GET) for part in compound.parts] if compound else []
    water = WaterForm(request.GET if "water" in request.GET else None)
    adjust = (water.percent if water.is_bound else None) or 0.0
    made_up, refused = None, ""
    if compound and colour:
        casts = [{"part_id": row.part.part_id, "quantity": row.count} for row in rows if row.count]
        try:
            asked = asked_as_typed(compound.id, colour.id, casts)
            made_up = mix_to_weigh(asked, now=now, water_adjust_percent=adjust)
        except StudioError as fault:
            refused = fault.message
    context = {
        "offered": offered,
        "compound": compound,
        "colour": colour,
        "rows": rows,
        "casts": sum(row.count for row in rows),
        "water_form": water,
        "adjust": adjust,
        "made_up": made_up,
        "refused": refused,
        "weigh_address": _weigh_address(compound, colour, rows, adjust, made_up),
    }
    answer = render(request, "production/mix_weights.html", context)
    # The address says the counts, not the plate that was pressed: loaded again, it shows the same.
    answer["HX-Replace-Url"] = _address(compound, colour, rows, request.GET.get("water", ""))
    return answer


def _chosen(offered: Iterable[Offered], key: str | None) -> Offered | None:
    """The one chosen, or the first."""
    found = list(offered)
    return next((one for one in found if str(one.id) == key), found[0] if found else None)


def _row(part: PartOffered, typed: QueryDict) -> Row:
    """How many of a part: as typed, one more or one less by its plates."""
    text = typed.get(f"part-{part.part_id}", "").strip() or "0"
    if not text.isdecimal() or int(text) > CASTS_MOST:
        return Row(part, 0, text[:20])
    count = int(text)
    if typed.get("more") == str(part.part_id):
        count += 1
    if typed.get("less") == str(part.part_id):
        count -= 1
    return Row(part, min(CASTS_MOST, max(0, count)), "")


def _address(
    compound: CompoundOffered | None, colour: ColourOffered | None, rows: Iterable[Row], water: str
) -> str:
    chosen = [("compound", compound and compound.id), ("colour", colour and colour.id), ("water", water)]
    counts = [(f"part-{row.part.part_id}", row.count) for row in rows]
    return f"?{urlencode([(name, value) for name, value in (*chosen, *counts) if value])}"


def _weigh_address(
    compound: CompoundOffered | None,
    colour: ColourOffered | None,
    rows: Iterable[Row],
    adjust: float,
    made_up: MixToWeigh | None,
) -> str:
    """Where this mix is weighed; "" while it is none."""
    if not (compound and colour and made_up and made_up.weights):
        return ""
    keys = [compound.id, colour.id]
    for row in rows:
        if row.count:
            keys += [row.part.part_id, row.count]
    there = reverse("production:set-weigh", args=["-".join(str(key) for key in keys)])
    return f"{there}?{urlencode({'water': f'{adjust:g}'})}" if adjust else there


urlpatterns = [path("bench/weights/", mix_weights, name="mix-weights")]
