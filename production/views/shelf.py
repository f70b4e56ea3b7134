"""The Shelf: what dries, what wants a coat or a fill, what cures, what is ready."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import StudioError
from inventory.operations.acts import Done
from inventory.queries.choosing import OtherTub, tubs_by_turn
from inventory.roles import for_everyone, is_owner
from production.errors import NotThere, ReadingNotBelieved, StepNotDue
from production.forms.bench import OutcomePhotoForm, WeightForm
from production.operations.finishing import finish_step
from production.operations.judging import judge_piece
from production.operations.photographing import keep_outcome_photo
from production.operations.weighing import call_dry, weigh_piece
from production.queries.cautions import FILL_CAUTIONS
from production.queries.filling import names_of_taken, taken_by
from production.queries.outcomes import photo_of_piece
from production.queries.piece_history import piece_history
from production.queries.reasons import REASON_PLATES
from production.queries.shelf import ShelfNow, ShelfRow, TogetherRow, piece_with_mark, shelf_now
from production.views.shelf_pictures import ShelfPictures


@for_everyone
@require_GET
def shelf(request: HttpRequest) -> HttpResponse:
    """All boards; the row whose piece is to be weighed has its panel open."""
    return _show(request, weigh=request.GET.get("weigh", ""))


@for_everyone
@require_POST
def step_done(request: HttpRequest) -> HttpResponse:
    """One step done on the pieces of a row; before its time it is asked once more."""
    try:
        content = {
            "piece_ids": _ids(request, "pieces"),
            "step_id": int(request.POST["step"]),
            "tub": request.POST.get("tub", ""),
            "alike": _ids(request, "alike"),
        }
    except (KeyError, ValueError):
        return _refused(request, StudioError("This page is too old to answer. Open it again."))
    try:
        do(request, finish_step, early=bool(request.POST.get("early")), **content)
    except StepNotDue as fault:
        if fault.facts.get("due_at") is None:
            return _refused(request, fault)
        hidden = {
            "pieces": ",".join(request.POST.getlist("pieces")),
            "step": content["step_id"],
            "tub": content["tub"],
            "alike": request.POST.get("alike", ""),
            "early": 1,
        }
        context = {"fault": fault, "request_key": request.POST["request_key"], "hidden": hidden}
        return render(request, "production/shelf_early.html", context, status=422)
    except StudioError as fault:
        return _refused(request, fault)
    return redirect("production:shelf")


@for_everyone
@require_POST
def weigh(request: HttpRequest, piece_id: int) -> HttpResponse:
    """A reading of the scale; one that does not fit the ones before is asked about, and kept as typed."""
    form = WeightForm(request.POST)
    mark = request.POST.get("mark", "")
    if form.is_valid():
        keep = bool(request.POST.get("keep_anyway"))
        try:
            do(request, weigh_piece, piece_id=piece_id, mass_mg=form.cleaned_data["mass"], keep_anyway=keep)
            return redirect(f"{reverse('production:shelf')}?weigh={mark}#weigh")
        except ReadingNotBelieved as fault:
            refuse_field(form, fault, "mass")
            return _show(request, weigh=mark, form=form, doubted="fault" in fault.facts)
        except StudioError as fault:
            return _refused(request, fault)
    return _show(request, weigh=mark, form=form)


@for_everyone
@require_POST
def dry(request: HttpRequest) -> HttpResponse:
    """Dry because whoever is at the shelf says so."""
    return _tap(request, call_dry, piece_ids=_ids(request, "pieces"))


@for_everyone
@require_GET
def piece(request: HttpRequest, mark: str) -> HttpResponse:
    """One piece: where it stands, and second or scrap if something happened to it."""
    now = request.studio.now()
    found = piece_with_mark(mark.upper(), now=now)
    if found is None:
        return _refused(request, NotThere(f"{mark[:12]} is not on the shelf: shipped, scrap or never made."))
    pictures = ShelfPictures(request.studio, now)
    context = {
        "piece": found,
        "kept": request.studio.kept_for([found.id]).get(found.id, ""),
        "curve": pictures.curve(found),
        "reasons": REASON_PLATES,
        "is_owner": is_owner(request.user),
        "photo": photo_of_piece(found.id),
        "history": piece_history(found.id),
        "now": now,
    }
    return render(request, "production/shelf_piece.html", context)


@for_everyone
@require_POST
def photo(request: HttpRequest, piece_id: int, mark: str) -> HttpResponse:
    """A photo of what happened to a piece."""
    form = OutcomePhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        refuse(request, StudioError(" ".join(form.errors["photo"])))
        return redirect("production:piece", mark=mark)
    try:
        do(request, keep_outcome_photo, piece_id=piece_id, photo=form.cleaned_data["photo"])
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:piece", mark=mark)


@for_everyone
@require_POST
def judge(request: HttpRequest, piece_id: int) -> HttpResponse:
    """Second or scrap on the way."""
    typed = request.POST
    offer = request.studio.offer_pieces
    content = {"outcome": typed.get("outcome", ""), "reason": typed.get("reason", ""), "offer_pieces": offer}
    return _tap(request, judge_piece, piece_id=piece_id, **content)


def _show(
    request: HttpRequest, *, weigh: str, form: WeightForm | None = None, doubted: bool = False
) -> HttpResponse:
    now = request.studio.now()
    found = shelf_now(now=now, kept_for=request.studio.kept_for)
    pictures = ShelfPictures(request.studio, now)
    boards = [
        ("Wants hands today", found.wants_hands, "Nothing wants hands now."),
        ("Drying", found.drying, "Nothing drying."),
        ("Between steps", found.coated, "Nothing between steps."),
        ("Filled and curing", found.curing, "Nothing curing."),
    ]
    tubs = tubs_by_turn(_materials(found))
    names = names_of_taken(row.step for row in (*found.wants_hands, *found.coated) if row.step)
    context = {
        "shelf": found,
        "boards": [
            (name, [_row(row, pictures, weigh, tubs, names) for row in rows], nothing)
            for name, rows, nothing in boards
        ],
        "together": [_together(one, names) for one in found.together],
        "ruler": pictures.ruler(),
        "fill_cautions": FILL_CAUTIONS,
        "form": form or WeightForm(),
        "doubted": doubted,
        "request_key": request.POST.get("request_key") or new_request_key(),
        "now": now,
    }
    return render(request, "production/shelf.html", context, status=422 if form is not None else 200)


def _materials(found: ShelfNow) -> set[int]:
    """What the next steps take."""
    rows = (*found.wants_hands, *found.drying, *found.coated, *found.curing)
    return {row.step.material_id for row in rows if row.step and row.step.material_id}


def _row(
    row: ShelfRow,
    pictures: ShelfPictures,
    weigh: str,
    tubs: dict[int, list[OtherTub]],
    names: dict[int, dict[int, tuple[str, str]]],
) -> dict[str, Any]:
    """A row with its pictures and tubs; the panel of the piece to weigh is open if its mark was asked for."""
    is_open = bool(weigh) and any(one.mark == weigh for one in row.pieces)
    from_tubs = tubs.get(row.step.material_id or 0, []) if row.step else []
    hidden = {
        "pieces": ",".join(str(one) for one in row.piece_ids),
        "step": row.step.step_id if row.step else "",
    }
    return {
        "row": row,
        "strip": pictures.strip(row),
        "curve": pictures.curve(row.weighed_piece) if is_open else None,
        "is_open": is_open,
        "hidden": hidden,
        "tub": from_tubs[0] if from_tubs else None,
        "taken": taken_by(row.step, len(row.pieces), names) if row.step else (),
        "other_tubs": [{**hidden, "tub": one.code} for one in from_tubs[1:]],
        "is_late": row.board == "wants hands",
    }


def _together(one: TogetherRow, names: dict[int, dict[int, tuple[str, str]]]) -> dict[str, Any]:
    """A step due on several rows, with what all their pieces take of it where all take the same."""
    step_id, *alike = one.step_ids
    hidden = {
        "pieces": ",".join(str(pk) for pk in one.piece_ids),
        "step": step_id,
        "alike": ",".join(str(pk) for pk in alike),
    }
    same = len({row.step.takes for row in one.rows if row.step}) == 1
    return {
        "row": one,
        "hidden": hidden,
        "taken": taken_by(one.step, len(one.piece_ids), names) if same else (),
    }


def _ids(request: HttpRequest, name: str) -> list[int]:
    """Ids sent in one field, or as ticks of that name."""
    sent = ",".join(request.POST.getlist(name)).split(",")
    return [int(one) for one in sent if one.isdecimal()]


def _tap(request: HttpRequest, operation: Callable[..., Done], **content: object) -> HttpResponse:
    try:
        do(request, operation, **content)
    except StudioError as fault:
        return _refused(request, fault)
    return redirect("production:shelf")


def _refused(request: HttpRequest, fault: StudioError) -> HttpResponse:
    refuse(request, fault)
    return redirect("production:shelf")


urlpatterns = [
    path("shelf/", shelf, name="shelf"),
    path("shelf/step/", step_done, name="step-done"),
    path("shelf/dry/", dry, name="call-dry"),
    path("shelf/weigh/<int:piece_id>/", weigh, name="weigh-piece"),
    path("shelf/judge/<int:piece_id>/", judge, name="judge-piece"),
    path("shelf/photo/<int:piece_id>/<str:mark>/", photo, name="piece-photo"),
    path("shelf/piece/<str:mark>/", piece, name="piece"),
]
