"""What to weigh for a mix, thicker, thinner or with a mould left out, and the start of its working time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, refuse, refuse_field
from inventory.errors import StudioError
from inventory.queries.choosing import OtherTub
from inventory.roles import for_everyone
from production.errors import AlreadyDone, NotThere, ReadingNotBelieved
from production.forms.bench import OtherMixForm, TimeForm, WaterForm, WeighedForm, happened_at
from production.operations.pouring import start_mix
from production.queries.asked import (
    MixAsked,
    asked_as_typed,
    asked_by_plan,
    asked_for_pieces,
    asked_to_top_up,
)
from production.queries.mix_weights import MixToWeigh, ToWeigh, mix_to_weigh
from production.queries.offered import articles_offered
from production.queries.progress import mix_numbers_ahead
from production.queries.really_weighed import Ingredient, ingredients_of

# A mix is named on its page by a kind and numbers: the planned mix; the mix it tops up; or article, colour,
# pieces and which of the mixes that these pieces take.
PLANNED, TOP_UP, OTHER = "weigh", "top-up", "other-weigh"
# Or compound, colour, and then part and how many, part and how many.
SET = "set-weigh"


@for_everyone
@require_GET
def weigh(request: HttpRequest, planned_id: int) -> HttpResponse:
    """The weights of a planned mix."""
    return _weigh(request, PLANNED, (planned_id,))


@for_everyone
@require_GET
def top_up(request: HttpRequest, mix_id: int) -> HttpResponse:
    """The weights for the moulds a mix left out."""
    return _weigh(request, TOP_UP, (mix_id,))


@for_everyone
@require_GET
def other_mix(request: HttpRequest) -> HttpResponse:
    """Choose what to cast beside the plan."""
    offered = articles_offered()
    form = OtherMixForm(request.GET if "wanted" in request.GET else None, offered=offered)
    if form.is_bound and form.is_valid():
        return redirect("production:other-weigh", *form.chosen, 0)
    return render(request, "production/bench_other.html", {"form": form, "offered": offered})


@for_everyone
@require_GET
def other_weigh(
    request: HttpRequest, article_id: int, colour_id: int, pieces: int, place: int
) -> HttpResponse:
    """The weights of a mix beside the plan."""
    try:
        mixes = asked_for_pieces(article_id, colour_id, pieces)
    except StudioError as fault:
        return _back_with(request, fault)
    more = [
        (f"{mix.colour.name} in {mix.compound.name}", _address(OTHER, (article_id, colour_id, pieces, other)))
        for other, mix in enumerate(mixes)
        if other != place
    ]
    return _weigh(request, OTHER, (article_id, colour_id, pieces, place), more=more)


@for_everyone
@require_GET
def set_weigh(request: HttpRequest, keys: str) -> HttpResponse:
    """The weights of a set of casts put together by hand."""
    found = tuple(int(key) for key in keys.split("-") if key.isdecimal())
    if len(found) < 4:
        return _back_with(request, NotThere("No moulds in this mix. Add one."))
    return _weigh(request, SET, found)


@for_everyone
@require_POST
def start(request: HttpRequest) -> HttpResponse:
    """Powder in."""
    typed = request.POST
    try:
        kind, keys = typed["kind"], tuple(int(key) for key in typed["keys"].split("-"))
        form = WeighedForm(typed, ingredients=_ingredients_of(typed))
        content = {
            "left_out": [int(entry) for entry in typed.get("out", "").split(",") if entry],
            "water_adjust_percent": float(typed["water"]) if typed.get("water") else None,
            "powder_mg": int(typed["powder_mg"]),
            "tubs": _codes(typed.get("tub", "")),
        }
        content |= _mix_content(kind, keys)
    except (KeyError, ValueError):
        return _back_with(request, StudioError("This page is too old to answer. Open it again."))
    except StudioError as fault:
        return _back_with(request, fault)
    time_form = TimeForm(typed, now=request.studio.now())
    if form.is_valid() and time_form.is_valid():
        content |= {"weighed_mg": form.weighed_mg, **happened_at(time_form)}
        try:
            do(request, start_mix, **content)
            return redirect("production:bench")
        except (AlreadyDone, NotThere) as fault:
            return _back_with(request, fault)
        except ReadingNotBelieved as fault:
            refuse_field(form, fault)
        except StudioError as fault:
            refuse(request, fault)
    return _weigh(request, kind, keys, refused=(form, time_form))


def _ingredients_of(typed: Mapping[str, str]) -> tuple[Ingredient, ...]:
    """The ingredients that the page showed.

    Raises: KeyError when it showed none.
    """
    return tuple(Ingredient(key, typed[f"name_{key}"], 0) for key in typed["ingredients"].split(","))


def _asked(kind: str, keys: Sequence[int]) -> MixAsked:
    """The mix a page is about.

    Raises: NotThere, AlreadyDone.
    """
    if kind == PLANNED:
        return asked_by_plan(keys[0])
    if kind == TOP_UP:
        return asked_to_top_up(keys[0])
    if kind == SET:
        casts = [
            {"part_id": part, "quantity": count} for part, count in zip(keys[2::2], keys[3::2], strict=False)
        ]
        return asked_as_typed(*keys[:2], casts)
    mixes = asked_for_pieces(keys[0], keys[1], keys[2])
    return mixes[min(keys[3], len(mixes) - 1)]


def _mix_content(kind: str, keys: Sequence[int]) -> dict[str, Any]:
    """The keywords of `start_mix` that say which mix."""
    if kind == PLANNED:
        return {"planned_mix_id": keys[0]}
    if kind == TOP_UP:
        return {"tops_up_id": keys[0]}
    if not (kind == OTHER and len(keys) == 4 or kind == SET and len(keys) > 3):
        raise KeyError(kind)
    asked = _asked(kind, keys)
    casts = [
        {"part_id": cast.part_id, "quantity": cast.quantity, "piece_colour_id": cast.piece_colour_id}
        for cast in asked.casts
    ]
    return {"compound_id": asked.compound.pk, "colour_id": asked.colour.pk, "casts": casts}


def _weigh(
    request: HttpRequest,
    kind: str,
    keys: tuple[int, ...],
    more: Sequence[tuple[str, str]] = (),
    refused: tuple[WeighedForm, TimeForm] | None = None,
) -> HttpResponse:
    """The page; with the forms of a start that was refused, everything typed stands in it as it was."""
    try:
        asked = _asked(kind, keys)
    except StudioError as fault:
        return _back_with(request, fault)
    typed = request.POST if refused else request.GET
    entries = [int(entry) for out in typed.getlist("out") for entry in out.split(",") if entry.isdecimal()]
    water = WaterForm(typed if typed.get("water") else None)
    percent = water.percent if water.is_bound else None
    adjust = asked.water_adjust_percent if percent is None else percent
    shown_water = "" if percent is None else f"{percent:g}"
    tub, wanted, now = typed.get("tub", ""), asked.without(entries), request.studio.now()
    try:
        made_up = mix_to_weigh(wanted, now=now, water_adjust_percent=adjust, tubs=_codes(tub))
    except StudioError as fault:
        # The tub asked for was emptied or put away since: the one whose turn it is stands in.
        refuse(request, fault)
        return redirect(_changed_address(kind, keys, _as_typed(entries, shown_water, "")))
    weighed = refused[0] if refused else WeighedForm(ingredients=ingredients_of(made_up))
    context = {
        "asked": asked,
        "made_up": made_up,
        "number": mix_numbers_ahead().get(keys[0]) if kind == PLANNED else None,
        "water_form": water,
        "more": more,
        "adjust": adjust,
        "entries": entries,
        "choices": _choices(asked, entries, shown_water, tub, _address(kind, keys)),
        "tubs": _other_tubs(made_up, kind, keys, entries, shown_water),
        "out_of_turn": [one.tub for one in _weighed(made_up) if one.tub and one.tub.instead_of],
        "address": _address(kind, keys),
        "hidden": _hidden(kind, keys, entries, shown_water, made_up),
        "weighed": weighed,
        "rows": _rows(weighed, made_up),
        "time_form": refused[1] if refused else TimeForm(now=now),
        "request_key": typed.get("request_key", ""),
    }
    return render(request, "production/bench_weigh.html", context, status=422 if refused else 200)


def _rows(form: WeighedForm, made_up: MixToWeigh) -> list[dict[str, Any]]:
    """The fields of each ingredient that the mix has now, with its grams and the tub it comes from."""
    shown = {one.key: {"shown": one, "tub": None} for one in ingredients_of(made_up)}
    drawn = {str(one.material_id): {"tub": one.tub, "afterwards": one.afterwards} for one in made_up.pigments}
    if made_up.powder:
        drawn["powder"] = {"tub": made_up.powder.tub, "afterwards": made_up.powder.afterwards}
    return [row | shown[row["key"]] | drawn.get(row["key"], {}) for row in form.rows if row["key"] in shown]


def _hidden(
    kind: str, keys: Sequence[int], entries: Sequence[int], water: str, made_up: MixToWeigh
) -> dict[str, Any]:
    """What the start has to know of the page that was shown."""
    return {
        "kind": kind,
        "keys": "-".join(str(key) for key in keys),
        "out": ",".join(str(entry) for entry in entries),
        "water": water,
        "powder_mg": made_up.weights.powder_mg if made_up.weights else 0,
        # The tubs that were shown are the ones in hand, whichever come first by then.
        "tub": ",".join(_tubs_shown(made_up)),
        **{f"name_{one.key}": one.name for one in ingredients_of(made_up)},
        "ingredients": ",".join(one.key for one in ingredients_of(made_up)),
    }


def _other_tubs(
    made_up: MixToWeigh, kind: str, keys: Sequence[int], entries: Sequence[int], water: str
) -> list[tuple[ToWeigh, list[tuple[OtherTub, str]]]]:
    """What more than one tub holds, with its other tubs and the page on which each is weighed from."""
    shown = _tubs_shown(made_up)
    found = []
    for weighed in _weighed(made_up):
        assert weighed.tub is not None
        pages = []
        for other in weighed.tub.others:
            tubs = ",".join(other.code if code == weighed.tub.code else code for code in shown)
            pages.append((other, _changed_address(kind, keys, _as_typed(entries, water, tubs))))
        if pages:
            found.append((weighed, pages))
    return found


def _weighed(made_up: MixToWeigh) -> list[ToWeigh]:
    """Powder and pigments that a tub holds."""
    return [one for one in (made_up.powder, *made_up.pigments) if one and one.tub]


def _tubs_shown(made_up: MixToWeigh) -> list[str]:
    return [one.tub.code for one in _weighed(made_up) if one.tub]


def _codes(typed: str) -> list[str]:
    """The tubs as an address or a form names them: "Q2,P1"."""
    return [code.strip().upper() for code in typed.split(",") if code.strip()]


def _as_typed(entries: Sequence[int], water: str, tub: str) -> dict[str, str]:
    """The changes of a page as its form would send them."""
    return {"out": ",".join(str(entry) for entry in entries), "water": water, "tub": tub}


def _choices(asked: MixAsked, entries: list[int], water: str, tub: str, address: str) -> list[dict[str, Any]]:
    """For each mould kind: how many are filled, and the pages with one less and with all of them."""
    kept = [(name, value) for name, value in (("water", water), ("tub", tub)) if value]
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


def _changed_address(kind: str, keys: Sequence[int], typed: Mapping[str, str]) -> str:
    """The page of the mix again, with the moulds left out, the water and the tub as they were."""
    changed = [("out", entry) for entry in typed.get("out", "").split(",") if entry]
    changed += [(name, typed[name]) for name in ("water", "tub") if typed.get(name)]
    address = _address(kind, keys)
    return f"{address}?{urlencode(changed)}" if changed else address


def _address(kind: str, keys: Sequence[int]) -> str:
    return reverse(f"production:{kind}", args=["-".join(map(str, keys))] if kind == SET else keys)


def _back_with(request: HttpRequest, fault: StudioError) -> HttpResponse:
    refuse(request, fault)
    return redirect("production:bench")


urlpatterns = [
    path("bench/weigh/<int:planned_id>/", weigh, name=PLANNED),
    path("bench/top-up/<int:mix_id>/", top_up, name=TOP_UP),
    path("bench/other/", other_mix, name="other-mix"),
    path("bench/other/<int:article_id>/<int:colour_id>/<int:pieces>/<int:place>/", other_weigh, name=OTHER),
    path("bench/set/<str:keys>/", set_weigh, name=SET),
    path("bench/start/", start, name="start"),
]
