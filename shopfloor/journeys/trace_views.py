"""The trace: its page with the picture, its files, and the papers that tell whoever has a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from inventory.answers import refuse
from inventory.arithmetic.csv_writing import csv_lines
from inventory.errors import StudioError
from inventory.roles import for_everyone
from orders.arithmetic.postal import laid_out
from orders.queries.trace import PackedIn, ToTell, WentTo, packed_in, whom_to_tell
from production.drawings.mould_to_piece import wave_rule
from production.queries.chain import chain_of, widened
from production.queries.piece_history import piece_history
from production.queries.trace import TracedMix, TracedPiece
from shopfloor.journeys.trace import (
    PIECE_HEADINGS,
    SOURCE_HEADINGS,
    picture_of,
    piece_rows,
    source_rows,
    start_for,
    trace,
)

CODE_MOST, WORDS_MOST = 120, 1500


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
class PackagingRow:
    """One lot and tub of packaging: for how many orders, and how much together (thousandths of `unit`)."""

    first: PackedIn
    orders: tuple[str, ...]
    amount: int


@dataclass(frozen=True)
class MixRows:
    """A traced mix with its rows, for the page."""

    mix: TracedMix
    rows: tuple[PieceRow, ...]


@for_everyone
@require_GET
def trace_page(request: HttpRequest) -> HttpResponse:
    """From a piece, lot, tub, mix, cast, order or customer to everything it touched."""
    code = _code(request)
    found = trace(code)
    mixes = [
        MixRows(mix, tuple(PieceRow(piece, found.went_to.get(piece.piece_id)) for piece in mix.pieces))
        for mix in found.mixes
    ]
    context: dict[str, Any] = {"code": code, "found": found, "mixes": mixes}
    if found.start:
        context["picture"] = picture_of(found)
        context["on_pieces"] = [source for source in found.chain.sources if not source.mix]
        context["packaging"] = _packaging_rows(found.packed)
        if found.kind == "Piece":
            context["history"] = piece_history(found.start.piece_ids[0])
        context["shipped"] = sum(piece.shipped_at is not None for piece in found.chain.pieces)
    return render(request, "journeys/trace.html", context)


@for_everyone
@require_GET
def trace_file(request: HttpRequest, what: str) -> HttpResponseBase:
    """The chain as CSV: its pieces with where they are, or its lots with where they came from."""
    code = _code(request)
    start = start_for(code)
    if start is None:
        return _not_found(request, code)
    chain = chain_of(start)
    rows = (
        csv_lines([PIECE_HEADINGS, *piece_rows(chain)])
        if what == "pieces"
        else csv_lines([SOURCE_HEADINGS, *source_rows(chain, packed_in(one.id for one in chain.pieces))])
    )
    answer = StreamingHttpResponse(rows, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="trace-{what}.csv"'
    return answer


@for_everyone
@require_GET
def tell(request: HttpRequest) -> HttpResponse:
    """Whom to tell: the page from which list and letters are printed."""
    code = _code(request)
    people = _people(code)
    if people is None:
        return _not_found(request, code)
    return render(request, "journeys/tell.html", {"code": code, "people": people})


@for_everyone
@require_GET
def tell_paper(request: HttpRequest, what: str) -> HttpResponse:
    """The list of whom to tell, or a letter to each customer with what is wrong and what to do."""
    code = _code(request)
    people = _people(code)
    if people is None:
        return _not_found(request, code)
    facts = request.studio.facts  # type: ignore[attr-defined]
    letters = [
        (one, laid_out(one.customer, one.address, home=facts.country)) for one in people if one.address
    ]
    context = {
        "code": code,
        "people": people,
        "letters": letters,
        "facts": facts,
        "wave": wave_rule(),
        "today": request.studio.local(request.studio.now()).date(),  # type: ignore[attr-defined]
        "wrong": request.GET.get("wrong", "").strip()[:WORDS_MOST],
        "to_do": request.GET.get("do", "").strip()[:WORDS_MOST],
    }
    answer: HttpResponse = request.studio.paper(  # type: ignore[attr-defined]
        request, f"journeys/papers/{what}.html", context, f"{what}.pdf"
    )
    return answer


def _packaging_rows(packed: Sequence[PackedIn]) -> list[PackagingRow]:
    """Parcels' packaging by lot and tub."""
    by_lot: dict[tuple[str, str], list[PackedIn]] = {}
    for one in packed:
        by_lot.setdefault((one.lot, one.tub), []).append(one)
    return [
        PackagingRow(
            same[0], tuple(dict.fromkeys(one.order for one in same)), sum(one.amount for one in same)
        )
        for same in by_lot.values()
    ]


def _code(request: HttpRequest) -> str:
    return request.GET.get("code", "").strip()[:CODE_MOST]


def _people(code: str) -> list[ToTell] | None:
    """Everybody who has a piece of the same mixes; None for an unknown code."""
    start = start_for(code)
    return None if start is None else whom_to_tell(widened(start).piece_ids)


def _not_found(request: HttpRequest, code: str) -> HttpResponse:
    refuse(request, StudioError(f"Nothing was made from {code or 'nothing'}. Type another code."))
    return redirect("trace")
