"""Routes with their steps, typed and sent as a browser sends them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db.models import F

from production.models import Piece, Route, StepKind
from production.queries.plan_steps import planned_steps, steps_of_routes
from tests.factories.inventory import a_material
from tests.factories.production import a_route, pieces_of, pots
from tests.production.typed import rows, send, show, step, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


class TestRoute:
    def test_steps_are_numbered_in_the_order_typed(self, signed_in):
        sealer = a_material(kind="sealer", unit="ml")
        typed = rows(
            step(2, "cure", kind="cure", wait_minutes="4 d", minutes_each="0", minutes_per_board="0"),
            step(1, "coat 1", material=sealer.pk, amount_each="12 ml"),
            {"position": "3", "minutes_each": "0", "minutes_per_board": "0"},
        )
        send(signed_in, "route-new", name="one coat", **typed)

        coat, cure = Route.objects.get().steps.all()
        assert (coat.position, coat.name, coat.wait_minutes, coat.amount_each) == (1, "coat 1", None, 12_000)
        assert (cure.position, cure.kind, cure.wait_minutes) == (2, "cure", 4 * 1440)

    def test_two_steps_change_places(self, signed_in):
        route = a_route({"name": "first"}, {"name": "second"})
        first, second = route.steps.all()
        typed = rows(step(2, "first", id=first.pk), step(1, "second", id=second.pk), kept=2)

        send(signed_in, "route", route.pk, name=route.name, **typed)

        assert list(route.steps.values_list("name", "position")) == [("second", 1), ("first", 2)]

    def test_a_step_that_is_taken_out_leaves_no_gap(self, signed_in):
        route = a_route({"name": "first"}, {"name": "second"})
        first, second = route.steps.all()
        typed = rows(step(1, "first", id=first.pk, DELETE="on"), step(2, "second", id=second.pk), kept=2)

        send(signed_in, "route", route.pk, name=route.name, **typed)

        assert list(route.steps.values_list("name", "position")) == [("second", 1)]

    def test_the_page_shows_amounts_as_they_can_be_typed_again(self, signed_in):
        wax = a_material(name="Wax", kind="wax")
        route = a_route({"kind": "fill", "name": "fill", "material": wax, "amount_each": 1_250_000})

        page = show(signed_in, "route", route.pk)

        shown = page.context["rows"].forms[0]["amount_each"].value()
        typed = step(1, "fill", id=route.steps.get().pk, kind="fill", material=wax.pk, amount_each=shown)
        send(signed_in, "route", route.pk, name=route.name, **rows(typed, kept=1))
        assert route.steps.get().amount_each == 1_250_000

    @pytest.mark.parametrize(
        ("typed", "said"),
        [
            ({"amount_each": "12 ml"}, "12 ml of what? Choose the material."),
            ({"wait_minutes": "soon"}, "Type a time such as 90 min, 16 h or 2 d."),
        ],
    )
    def test_a_step_that_is_not_understood_is_refused(self, signed_in, typed, said):
        page = send(signed_in, "route-new", name="one coat", **rows(step(1, "coat 1", **typed)))

        assert page.status_code == 422
        assert said in words(page)
        assert 'value="coat 1"' in words(page)
        assert not Route.objects.exists()

    def test_a_kind_of_the_studios_own_goes_into_the_form_the_planner_the_shelf_and_back(self, signed_in):
        send(signed_in, "step-kind-new", name="gild", done_word="gilded", cautions="Gloves on.")
        gild = StepKind.objects.get()
        own = {"kind": f"own:{gild.pk}", "wait_minutes": "8 h", "minutes_each": "7"}
        dry = {"kind": "dry", "minutes_each": "0", "minutes_per_board": "0"}
        send(signed_in, "route-new", name="gilded", **rows(step(1, "", **dry), step(2, "", **own)))

        route = Route.objects.get()
        assert list(route.steps.values_list("kind", "own_kind", "name")) == [
            ("dry", None, "dry"),
            ("own", gild.pk, "gild"),
        ]
        assert f'<option value="own:{gild.pk}" selected>gild</option>' in words(
            show(signed_in, "route", route.pk)
        )
        (planned,) = planned_steps(steps_of_routes([route.pk])[route.pk], dry_minutes=600).steps
        assert (planned.name, planned.wait_minutes, planned.minutes_each) == ("gild", 600 + 480, 7)
        pieces = pieces_of(pots(route=route))
        Piece.objects.update(
            out_at=F("out_at") - timedelta(days=9), last_step_at=F("out_at") - timedelta(days=9)
        )
        shelf = words(show(signed_in, "shelf"))
        assert "Gild now" in shelf
        assert "Gloves on." in shelf
        assert pieces[0].mark in shelf

    @pytest.mark.parametrize(
        ("typed", "said"),
        [
            ([{"kind": "dry"}], "Drying takes no hands. Give the minutes to the step that comes after it."),
            ([{"name": "Feet"}, {"name": "feet"}], "Two steps are called"),
        ],
    )
    def test_steps_that_cannot_be_meant_are_refused(self, signed_in, typed, said):
        steps = [step(place, "coat 1", **row) for place, row in enumerate(typed, start=1)]

        assert said in words(send(signed_in, "route-new", name="one coat", **rows(*steps)))
        assert not Route.objects.exists()

    def test_a_built_in_kind_is_not_made_again(self, signed_in):
        assert "Every studio has coat already." in words(send(signed_in, "step-kind-new", name="Coat"))

    def test_only_the_owner_adds_kinds(self, signed_in_helper):
        assert send(signed_in_helper, "step-kind-new", name="gild").status_code == 403
