"""Out of the mould, and how they came out."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, refuse, refuse_field
from inventory.errors import StudioError
from inventory.roles import for_everyone
from production.errors import NotThere, TooEarlyToOpen
from production.forms.bench import OutcomePhotoForm, TimeForm, WeightForm, happened_at
from production.operations.judging import judge_cast, set_reason
from production.operations.opening import open_moulds
from production.operations.photographing import keep_outcome_photo
from production.operations.weighing import weigh_cast
from production.queries.out_of_mould import CastOut, mix_out
from production.queries.reasons import REASON_PLATES

EARLY_REASONS = ("firm to the touch", "warm room", "the mould is needed")


@for_everyone
@require_GET
def opening(request: HttpRequest, mix_id: int) -> HttpResponse:
    """The moulds of one mix: due, then out and looked at one by one."""
    return _page(request, mix_id)


@for_everyone
@require_POST
def opened(request: HttpRequest, mix_id: int) -> HttpResponse:
    """The moulds are open; before their time it is asked once more, and why."""
    form = TimeForm(request.POST, now=request.studio.now())
    if not form.is_valid():
        refuse(request, StudioError(" ".join(form.errors["at"])))
        return redirect("production:open", mix_id=mix_id)
    reason = request.POST.get("early_reason", "")
    try:
        do(request, open_moulds, mix_id=mix_id, early_reason=reason, **happened_at(form))
    except TooEarlyToOpen as fault:
        context = {
            "mix": mix_out(mix_id),
            "fault": fault,
            "request_key": request.POST["request_key"],
            "reasons": [{"early_reason": reason} for reason in EARLY_REASONS],
            "hidden": {"at": request.POST.get("at", "")},
        }
        return render(request, "production/bench_early.html", context, status=422)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:open", mix_id=mix_id)


@for_everyone
@require_POST
def judge(request: HttpRequest, mix_id: int, cast_id: int) -> HttpResponse:
    """Good, second or scrap."""
    verdict = request.POST.get("verdict", "")
    offer = request.studio.offer_pieces
    return _tap(request, mix_id, judge_cast, cast_id=cast_id, outcome=verdict, offer_pieces=offer)


@for_everyone
@require_POST
def reason(request: HttpRequest, mix_id: int, cast_id: int) -> HttpResponse:
    """What it was."""
    return _tap(request, mix_id, set_reason, cast_id=cast_id, reason=request.POST.get("reason", ""))


@for_everyone
@require_POST
def photo(request: HttpRequest, mix_id: int, cast_id: int) -> HttpResponse:
    """A photo of how it came out."""
    form = OutcomePhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        refuse(request, StudioError(" ".join(form.errors["photo"])))
        return redirect("production:open", mix_id=mix_id)
    try:
        do(request, keep_outcome_photo, cast_id=cast_id, photo=form.cleaned_data["photo"])
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:open", mix_id=mix_id)


@for_everyone
@require_POST
def out_weight(request: HttpRequest, mix_id: int, cast_id: int) -> HttpResponse:
    """Weight out of the mould."""
    form = WeightForm(request.POST, prefix=f"cast{cast_id}")
    if form.is_valid():
        try:
            do(request, weigh_cast, cast_id=cast_id, mass_mg=form.cleaned_data["mass"])
        except StudioError as fault:
            refuse_field(form, fault)
    return _page(request, mix_id, (cast_id, form)) if form.errors else _onward(mix_id)


def _page(request: HttpRequest, mix_id: int, refused: tuple[int, WeightForm] | None = None) -> HttpResponse:
    """The page of one mix; a weight that was refused stays as typed, with its sentence beside it.

    Where the cast has no field any more, undone on another screen, the sentence stands above.
    """
    found = mix_out(mix_id)
    if found is None:
        refuse(request, NotThere("This mix was undone. Nothing is in the moulds from it."))
        return redirect("production:bench")
    forms = {cast.cast_id: _weight_form(cast) for cast in found.judged}
    if refused and refused[0] in forms:
        forms.update([refused])
    elif refused:
        refuse(request, StudioError(" ".join(sum(refused[1].errors.values(), []))))
    context = {
        "mix": found,
        "reasons": REASON_PLATES,
        "now": request.studio.now(),
        "time_form": TimeForm(now=request.studio.now()),
        "judged": [(cast, forms[cast.cast_id]) for cast in found.judged],
    }
    return render(request, "production/bench_open.html", context, status=422 if refused else 200)


def _weight_form(cast: CastOut) -> WeightForm | None:
    """A form for the weight out of the mould, unless it was weighed or is scrap."""
    if cast.out_mg is not None or cast.outcome == "scrap":
        return None
    return WeightForm(prefix=f"cast{cast.cast_id}")


def _tap(request: HttpRequest, mix_id: int, operation: object, **content: object) -> HttpResponse:
    """Do it and stay while there is something to say of this mix, else back to the Bench."""
    try:
        do(request, operation, **content)  # type: ignore[arg-type]
    except StudioError as fault:
        refuse(request, fault)
    return _onward(mix_id)


def _onward(mix_id: int) -> HttpResponse:
    found = mix_out(mix_id)
    is_over = found is None or not (found.due or found.to_judge or any(cast.asks_why for cast in found.casts))
    return redirect("production:bench") if is_over else redirect("production:open", mix_id=mix_id)


urlpatterns = [
    path("bench/open/<int:mix_id>/", opening, name="open"),
    path("bench/opened/<int:mix_id>/", opened, name="opened"),
    path("bench/judge/<int:mix_id>/<int:cast_id>/", judge, name="judge"),
    path("bench/reason/<int:mix_id>/<int:cast_id>/", reason, name="reason"),
    path("bench/photo/<int:mix_id>/<int:cast_id>/", photo, name="cast-photo"),
    path("bench/out-weight/<int:mix_id>/<int:cast_id>/", out_weight, name="out-weight"),
]
