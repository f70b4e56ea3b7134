"""The Shelf: steps, weighing, one piece."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from production.models import Mix, Piece, StepDone, Weighing
from tests.factories.inventory import G, a_filled_tub, a_material, held
from tests.factories.production import a_route, minutes, pieces_of, pots
from tests.production.views.test_bench import tap, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


@pytest.fixture
def route():
    return a_route({"wait_minutes": None}, {"wait_minutes": 600})


def days_ago(count):
    return timezone.now() - timedelta(days=count)


def ids(pieces):
    return ",".join(str(piece.pk) for piece in pieces)


def test_an_empty_shelf_says_what_will_stand_there(signed_in):
    assert "The shelf is empty." in words(signed_in.get("/shelf/"))


def test_the_boards_are_drawn_also_when_they_are_empty(signed_in, route):
    pieces_of(pots(route=route), days_ago(2))

    page = words(signed_in.get("/shelf/"))

    for board in ("Wants hands today", "Drying", "Between steps", "Filled and curing", "Ready"):
        assert f">{board}</h2>" in page
    assert "Nothing drying." in page
    assert "open a window" in page


def test_a_step_is_done_for_the_whole_row_in_one_tap(signed_in, route):
    pieces = pieces_of(pots(route=route), days_ago(2))
    assert "Coat 1 done" in words(signed_in.get("/shelf/"))

    page = words(tap(signed_in, "step-done", pieces=ids(pieces), step=route.steps.first().pk))

    assert Piece.objects.filter(steps_done=1).count() == 2
    assert "on 2 pieces." in page


def test_the_row_offers_the_other_tubs_of_what_the_step_takes(signed_in):
    sealer = a_filled_tub(100 * G, a_material(name="Sealer", kind="sealer", unit="ml"), code="Q7")
    other = a_filled_tub(100 * G, sealer.material, code="Q8")
    route = a_route({"wait_minutes": None, "material": sealer.material, "amount_each": 6 * G})
    pieces = pieces_of(pots(route=route), days_ago(2))
    page = words(signed_in.get("/shelf/"))
    assert "Coat 1 done, from Q8" in page

    said = words(tap(signed_in, "step-done", pieces=ids(pieces), step=route.steps.get().pk, tub="Q8"))

    assert "From Q8 instead of Q7." in said
    assert held(other) == 88 * G


def test_a_step_due_on_two_rows_is_done_on_all_their_pieces_in_one_tap(signed_in, route):
    rows = [pieces_of(pots(route=route), days_ago(2)), pieces_of(pots(route=route), days_ago(3))]
    page = words(signed_in.get("/shelf/"))
    assert "Coat 1 done on all" in page
    assert "4 pieces of 2 rows" in page
    assert route.name in page

    sent = ids([*rows[0], *rows[1]])
    assert "on 4 pieces." in words(tap(signed_in, "step-done", pieces=sent, step=route.steps.first().pk))


def test_a_first_coat_indoors_and_outdoors_is_one_tap_and_each_goes_on_by_its_own_route(signed_in, route):
    outdoors = a_route({"wait_minutes": None}, {"wait_minutes": 300}, {"wait_minutes": 300})
    pieces = [*pieces_of(pots(route=route), days_ago(2)), *pieces_of(pots(route=outdoors), days_ago(2))]
    page = words(signed_in.get("/shelf/"))
    assert f"4 pieces of 2 rows, {route.name}; {outdoors.name}" in page
    first, other = route.steps.first(), outdoors.steps.first()

    said = words(tap(signed_in, "step-done", pieces=ids(pieces), step=first.pk, alike=other.pk))

    assert "Coat 1 at" in said and "on 4 pieces." in said
    assert Piece.objects.filter(steps_done=1).count() == 4
    done = StepDone.objects.values_list("piece__article__route", "step")
    assert set(done) == {(route.pk, first.pk), (outdoors.pk, other.pk)}
    assert set(StepDone.objects.values_list("pieces", flat=True)) == {4}


def test_a_step_is_done_on_those_ticked_and_on_none_it_says_so(signed_in, route):
    one, other = pieces_of(pots(route=route), days_ago(2))
    assert "Some of them" in words(signed_in.get("/shelf/"))

    page = words(tap(signed_in, "step-done", pieces=[one.pk], step=route.steps.first().pk))

    assert "on 1 piece." in page
    assert Piece.objects.get(pk=other.pk).steps_done == 0
    assert "No pieces were chosen" in words(tap(signed_in, "step-done", step=route.steps.first().pk))


def test_a_step_before_its_time_is_asked_once_more(signed_in, route):
    pieces = pieces_of(pots(route=route), days_ago(0.5))
    step = route.steps.first().pk

    asked = tap(signed_in, "step-done", pieces=ids(pieces), step=step)
    assert asked.status_code == 422
    assert Piece.objects.filter(steps_done=1).count() == 0

    tap(signed_in, "step-done", pieces=ids(pieces), step=step, early="1")
    assert Piece.objects.filter(steps_done=1).count() == 2


def test_a_page_without_its_fields_is_too_old(signed_in):
    assert "This page is too old to answer." in words(tap(signed_in, "step-done"))


class TestWeighing:
    @pytest.fixture
    def piece(self, route):
        (piece,) = pieces_of(pots(pieces=1, route=route), days_ago(0.5))
        Mix.objects.update(dry_mg_per_ul=0)
        return piece

    def weigh(self, client, piece, mass, **more):
        return tap(client, "weigh-piece", piece.pk, mass=mass, mark=piece.mark, **more)

    def test_the_panel_opens_for_the_piece_asked_for(self, signed_in, piece):
        page = words(signed_in.get(f"/shelf/?weigh={piece.mark}"))

        assert "Weigh the same piece each time" in page
        assert "Keep weight" in page

    def test_a_weight_is_kept_and_answered_at_once(self, signed_in, piece):
        page = words(self.weigh(signed_in, piece, "812.5"))

        assert Weighing.objects.get().mass_mg == 812_500
        assert "Not dry yet." in page

    def test_a_heavier_weight_is_asked_about_with_what_was_typed_still_there(self, signed_in, piece):
        self.weigh(signed_in, piece, "800")

        answer = self.weigh(signed_in, piece, "803.1")

        assert answer.status_code == 422
        assert "by 3.1 g. Same piece? Same scale?" in words(answer)
        assert 'value="803.1"' in words(answer)
        assert "Keep anyway" in words(answer)
        assert Weighing.objects.count() == 1
        self.weigh(signed_in, piece, "803.1", keep_anyway="1")
        assert Weighing.objects.count() == 2

    def test_what_is_no_weight_is_refused_beside_the_field(self, signed_in, piece):
        answer = self.weigh(signed_in, piece, "wet")

        assert answer.status_code == 422
        assert 'class="err"' in words(answer)

    def test_call_it_dry(self, signed_in, piece):
        page = words(tap(signed_in, "call-dry", pieces=str(piece.pk)))

        piece.refresh_from_db()
        assert piece.dry_called_at is not None
        assert "Coat 1 done" in page


class TestPiece:
    def test_it_says_where_it_stands(self, signed_in, route):
        (piece,) = pieces_of(pots(pieces=1, route=route), days_ago(2))

        page = words(signed_in.get(reverse("production:piece", args=[piece.mark.lower()])))

        assert f"Piece {piece.mark}" in page
        assert "Dry" in page

    def test_something_happened_to_it(self, signed_in, route):
        (piece,) = pieces_of(pots(pieces=1, route=route), days_ago(2))

        page = words(tap(signed_in, "judge-piece", piece.pk, outcome="scrap", reason="cracked"))

        piece.refresh_from_db()
        assert (piece.outcome, piece.reason) == ("scrap", "cracked")
        assert f"{piece.mark}: scrap, cracked" in page

    def test_a_piece_that_left_is_not_on_the_shelf(self, signed_in):
        (piece,) = pieces_of(pots(pieces=1), days_ago(3))
        Piece.objects.update(shipped_at=timezone.now() - minutes(5))

        answer = signed_in.get(reverse("production:piece", args=[piece.mark]), follow=True)

        assert f"{piece.mark} is not on the shelf" in words(answer)


def test_the_shelf_has_the_same_number_of_queries_with_many_pieces(
    signed_in, django_assert_max_num_queries, route
):
    pieces_of(pots(pieces=1, route=route), days_ago(2))
    signed_in.get("/shelf/")
    with django_assert_max_num_queries(30) as counted:
        signed_in.get("/shelf/")
    once = len(counted.captured_queries)
    for day in range(3, 6):
        pieces_of(pots(pieces=3, copies=3, route=route), days_ago(day))

    with django_assert_max_num_queries(once):
        signed_in.get("/shelf/")
