"""Decant by scale readings."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from inventory.answers import do, refuse, refuse_field
from inventory.errors import StudioError
from inventory.forms.moving import ChooseDecantForm, DecantForm
from inventory.operations.decanting import decant
from inventory.queries.decant_proposal import (
    DecantProposal,
    TubState,
    decant_proposals,
    tub_states,
    working_tubs_for,
)
from inventory.queries.decant_sums import Typed, decant_looked_at
from inventory.roles import for_everyone
from inventory.views.pictures import tubs_after, tubs_of
from inventory.views.showing import show_form


@for_everyone
def decant_page(request: HttpRequest) -> HttpResponse:
    """Choose the two tubs, then type what the scale shows."""
    codes = request.GET.get("source", ""), request.GET.get("target", "")
    if not all(codes):
        return _choose(request, codes[0])
    try:
        source, target = tub_states(codes)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:decant")
    proposal = _proposal(request, source, target)
    form = DecantForm(
        request.POST or None,
        source=source,
        target=target,
        initial={"amount": proposal.amount} if proposal else None,
    )
    look = None
    if request.method == "POST" and form.is_valid():
        tubs = {"source_id": source.container_id, "target_id": target.container_id}
        try:
            if "look" in request.POST:
                look = decant_looked_at(**tubs, typed=Typed(**form.content()))
            else:
                do(request, decant, **tubs, **form.content())
                return redirect("inventory:stores")
        except StudioError as fault:
            refuse_field(form, fault)
    context = {
        "source": source,
        "target": target,
        "proposal": proposal,
        "look": look,
        "picture": tubs_after(source, target, look) if look else tubs_of(proposal) if proposal else None,
    }
    return show_form(request, "inventory/decant.html", form, is_shown=look is not None, **context)


def _choose(request: HttpRequest, source: str) -> HttpResponse:
    """The choice of the two tubs; from a tub whose powder has one working tub it goes straight on."""
    targets = working_tubs_for(source) if source else []
    if len(targets) == 1:
        return redirect(
            f"{reverse('inventory:decant')}?{urlencode({'source': source, 'target': targets[0]})}"
        )
    asked = request.GET if "target" in request.GET else None
    form = ChooseDecantForm(asked, initial={"source": source.upper()})
    return render(request, "inventory/decant_choose.html", {"form": form})


def _proposal(request: HttpRequest, source: TubState, target: TubState) -> DecantProposal | None:
    """What the week's mixes ask to bring from one of these tubs into the other."""
    today = request.studio.local(request.studio.now()).date()
    return next(
        (
            one
            for one in decant_proposals(today, request.studio.planned_draws())
            if (one.bulk.code, one.working.code) == (source.code, target.code)
        ),
        None,
    )
