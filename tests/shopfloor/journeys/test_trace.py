"""From a piece, lot, tub, mix or order to everything it touched."""

from __future__ import annotations

import csv
import io
from datetime import timedelta

import pytest
from pypdf import PdfReader

from inventory.models import Holding
from orders.models import Assignment, ParcelDraw
from orders.operations.undoing import undo_ship_parcel
from production.models import MixDraw, Piece
from production.queries.chain import Start, widened
from shopfloor.journeys.trace import start_for, trace
from tests.factories.inventory import MONDAY, a_lot, a_tap, a_tub
from tests.factories.orders import a_range, an_order
from tests.factories.production import pieces_of, pots
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


@pytest.fixture
def pieces() -> list[Piece]:
    """Two pots with saucers out of one mix."""
    return pieces_of(pots())


def test_a_piece_leads_to_its_mix_and_to_the_pieces_beside_it(pieces):
    found = trace(pieces[0].mark.lower())

    assert found.kind == "Piece"
    assert [piece.mark for piece in found.mixes[0].pieces] == [piece.mark for piece in pieces]


def test_lot_tub_and_mix_lead_to_the_same_mix(pieces):
    draw = MixDraw.objects.select_related("lot", "container", "mix").first()

    kinds = {}
    for code in (draw.lot.code, draw.container.code, str(draw.mix.number)):
        found = trace(code)
        kinds[found.kind] = [mix.number for mix in found.mixes]

    assert kinds == {kind: [draw.mix.number] for kind in ("Lot", "Tub", "Mix")}


def test_a_tub_that_was_only_decanted_from_leads_to_what_its_lots_went_into(pieces):
    draw = MixDraw.objects.select_related("lot", "mix").first()
    bulk = a_tub(draw.material)
    Holding.objects.create(lot=draw.lot, place=bulk.place, amount=0)

    found = trace(bulk.code)

    assert (found.kind, [mix.number for mix in found.mixes]) == ("Tub", [draw.mix.number])
    by_words = trace(f"Mix {draw.mix.number}")
    assert (by_words.kind, by_words.code) == ("Mix", str(draw.mix.number))


def test_what_went_in_is_what_the_ledger_drew(pieces):
    (mix,) = trace(pieces[0].mark).mixes

    drawn = MixDraw.objects.values_list("lot__code", "amount")
    assert sorted((source.lot, source.amount) for source in mix.made_from) == sorted(drawn)


def test_a_lot_leads_to_whom_it_went_and_when(pieces):
    """Source: ISO 22005:2007, one step forward (from memory): to whom which lot went, when, how much."""
    draw = MixDraw.objects.select_related("lot", "mix").first()
    an_order((pieces[0].article, pieces[0].colour, 1), number="1044", customer="Plover Marsh")
    piece = Assignment.objects.get().piece
    shipped_at = MONDAY + timedelta(days=9)
    Piece.objects.filter(pk=piece.pk).update(shipped_at=shipped_at)

    found = trace(draw.lot.code)

    went = found.went_to[piece.pk]
    assert (went.number, went.customer, went.shipped_at) == ("1044", "Plover Marsh", shipped_at)
    made_from = {source.lot: source.amount for source in found.mixes[0].made_from}
    assert made_from[draw.lot.code] == draw.amount


def test_a_mark_with_one_slip_names_the_one_near_it(pieces):
    mark = pieces[0].mark
    slip = mark[:-1] + ("3" if mark[-1] != "3" else "4")

    found = trace(slip)

    assert (found.start, found.mixes) == (None, ())
    assert mark in found.near


def test_the_page_says_what_was_not_found(signed_in, db):
    page = signed_in.get("/trace/?code=T3VQ").content.decode()

    assert "No piece, lot, tub, mix, cast, order or customer T3VQ" in page


def test_the_number_of_queries_does_not_grow(pieces, django_assert_max_num_queries):
    with django_assert_max_num_queries(20):
        trace(pieces[0].mark)


def test_a_cast_an_order_and_a_customer_are_places_to_begin(pieces):
    an_order((pieces[0].article, pieces[0].colour, 1), number="1044", customer="Plover Marsh")
    kept = Assignment.objects.get().piece
    cast = kept.casts.select_related("mix").order_by("position").first()

    found = {code: trace(code) for code in (f"{cast.mix.number}-{cast.position}", "1044", "plover marsh")}

    assert [one.kind for one in found.values()] == ["Cast", "Order", "Customer"]
    for one in found.values():
        assert [piece.mark for piece in one.chain.pieces] == [kept.mark]
        assert [mix.number for mix in one.chain.mixes] == [cast.mix.number]


def test_whatever_leads_forward_leads_back(pieces):
    """Source: graph theory: y is reached from x exactly when x is reached backward from y; all pairs."""
    lots = set(MixDraw.objects.values_list("lot__code", flat=True))
    forward = {(lot, piece.mark) for lot in lots for piece in trace(lot).chain.pieces}
    backward = {(source.lot, piece.mark) for piece in pieces for source in trace(piece.mark).chain.sources}

    assert forward == backward != set()


def test_a_blended_tub_leads_to_all_its_lots(pieces):
    draw = MixDraw.objects.order_by("id").first()
    other = a_lot(draw.material, 1000, code="L-BLEND")
    draw.pk, draw.lot = None, other
    draw.save()

    found = trace(draw.container.code)

    assert {"L-BLEND", trace("L-BLEND").chain.sources[0].lot} <= {one.lot for one in found.chain.sources}
    assert [piece.mark for piece in trace("L-BLEND").chain.pieces] == [piece.mark for piece in pieces]


def test_the_files_have_one_step_back_and_one_step_forward(signed_in, studio_open, pieces):
    """Source: ISO 22005:2007 and Regulation (EC) 178/2002 Art. 18 (idea): one step back and forward."""
    draw = MixDraw.objects.select_related("lot", "mix").first()
    an_order((pieces[0].article, pieces[0].colour, 1), number="1044", customer="=cmd()")

    forward = read_rows(signed_in.get(f"/trace/pieces.csv?code={draw.lot.code}"))
    back = read_rows(signed_in.get(f"/trace/lots.csv?code={pieces[0].mark}"))

    kept = Assignment.objects.get().piece.mark
    row = next(one for one in forward if one["piece"] == kept)
    assert (row["order"], row["customer"], draw.lot.code in row["lots"]) == ("1044", "'=cmd()", True)
    mine = next(one for one in back if one["lot"] == draw.lot.code)
    assert mine["mix"] == str(draw.mix.number)
    assert mine["received"] == draw.lot.received_on.isoformat()


def test_whoever_has_a_piece_of_the_same_mix_is_told_by_list_and_letter(signed_in, studio_open, pieces):
    an_order((pieces[0].article, pieces[0].colour, 1), number="1044", customer="Plover Marsh")
    gone = Assignment.objects.get().piece
    Piece.objects.filter(pk=gone.pk).update(shipped_at=MONDAY)
    beside = next(piece for piece in pieces if piece.pk != gone.pk)

    page = signed_in.get(f"/trace/tell/?code={beside.mark}").content.decode()
    listed = pages_of(signed_in.get(f"/trace/tell/list/?code={beside.mark}"))
    letter = pages_of(signed_in.get(f"/trace/tell/letters/?code={beside.mark}&wrong=The+glaze+sheds&do=Stop"))

    assert "Plover Marsh" in page
    assert "1044" in listed and gone.mark in listed
    assert "The glaze sheds" in letter and "Plover Marsh" in letter and gone.mark in letter


def test_the_picture_draws_a_line_for_each_step(signed_in, studio_open, pieces):
    page = signed_in.get(f"/trace/?code={pieces[0].mark}").content.decode()

    assert page.count("chain-line") >= 2
    assert f"The chain of piece {pieces[0].mark}" in page


def test_packaging_leads_to_whom_it_went_and_back(signed_in, studio_open):
    """Source: ISO 22005:2007 (idea): one step forward and one step back, for the box as for the piece."""
    made = a_range()
    order, marks = packed(made, number="1044")
    beside, other = packed(made, number="1045")
    ship(order, marks)
    ship(beside, other)
    lot, tub = ParcelDraw.objects.values_list("lot__code", "container__code").first()

    for code, kind in ((lot, "Lot"), (tub, "Tub")):
        found = trace(code)
        assert (found.kind, {piece.mark for piece in found.chain.pieces}) == (kind, {*marks, *other})
    back = trace(marks[0])
    assert [(one.order, one.lot, one.tub, one.amount) for one in back.packed] == [("1044", lot, tub, 2000)]
    rows = read_rows(signed_in.get(f"/trace/lots.csv?code={marks[0]}"))
    assert [(row["lot"], row["step"]) for row in rows if row["step"]] == [(lot, "packing 1044")]
    told = signed_in.get(f"/trace/tell/?code={lot}").content.decode()
    assert "2 orders to tell" in told
    page = signed_in.get(f"/trace/?code={marks[0]}").content.decode()
    assert "Packed in" in page and ">Tub</text>" in page


def test_a_parcel_taken_back_leaves_no_packaging_in_the_trace(db):
    order, marks = packed(a_range())
    done = ship(order, marks)

    undo_ship_parcel(**a_tap(), act_id=done.act_id)

    assert not ParcelDraw.objects.exists()


def test_the_lot_of_a_step_tells_only_those_whose_pieces_it_went_on(pieces):
    """Pieces of the same mix that the sealer never touched are not to be told of it."""
    draw = MixDraw.objects.select_related("lot", "container").first()
    start = start_for(draw.lot.code)

    assert widened(start) == start
    assert widened(Start("Piece", start.mix_ids, ())).piece_ids == tuple(piece.pk for piece in pieces)


def read_rows(answer):
    text = b"".join(answer.streaming_content).decode()
    return list(csv.DictReader(io.StringIO(text)))


def pages_of(answer):
    reader = PdfReader(io.BytesIO(answer.content))
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
