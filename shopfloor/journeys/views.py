"""Pages that cross the apps: the way in, the trace, planning the week, and looking into what is late."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, refuse
from inventory.errors import StudioError
from inventory.roles import for_everyone
from orders.queries.trace import WentTo
from production.queries.trace import TracedMix, TracedPiece
from shopfloor.journeys.looking import ask_for_look, stop_looking
from shopfloor.journeys.planning import ask_for_plan, stop_planning
from shopfloor.journeys.trace import Trace, trace


@dataclass(frozen=True)
class PieceRow:
    """One piece of a traced mix, with the words for where it is."""

    piece: TracedPiece
    went_to: WentTo | None

    @property
    def where(self) -> str:
        """Where a piece is that has not left, in words."""
        return self.piece.outcome if self.piece.outcome != "good" else "on the shelf"


@dataclass(frozen=True)
class MixRows:
    """A traced mix with its rows, for the page."""

    mix: TracedMix
    rows: tuple[PieceRow, ...]


@for_everyone
@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The day begins at the Bench."""
    return redirect("production:bench")


@for_everyone
@require_GET
def trace_page(request: HttpRequest) -> HttpResponse:
    """From a piece, lot, tub, mix or order to everything it touched."""
    code = request.GET.get("code", "").strip()[:40]
    found = trace(code) if code else Trace("", "", (), {}, ())
    mixes = [
        MixRows(mix, tuple(PieceRow(piece, found.went_to.get(piece.piece_id)) for piece in mix.pieces))
        for mix in found.mixes
    ]
    return render(request, "journeys/trace.html", {"code": code, "found": found, "mixes": mixes})


@for_everyone
@require_POST
def ask_plan(request: HttpRequest) -> HttpResponse:
    """Plan again."""
    try:
        do(request, ask_for_plan)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


@for_everyone
@require_POST
def stop_plan(request: HttpRequest) -> HttpResponse:
    """Stop planning and keep the best so far."""
    try:
        do(request, stop_planning)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


@for_everyone
@require_POST
def ask_look(request: HttpRequest) -> HttpResponse:
    """Look into what is late."""
    try:
        do(request, ask_for_look)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


@for_everyone
@require_POST
def stop_look(request: HttpRequest) -> HttpResponse:
    """Stop looking and keep what was found."""
    try:
        do(request, stop_looking)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")
