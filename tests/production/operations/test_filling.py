"""What goes into a candle vessel, and that a fill draws all of it."""

from __future__ import annotations

import pytest
from django.urls import reverse

from inventory.errors import StudioError
from inventory.queries.holdings import held_by_material
from orders.papers.card_words import CANDLE_CAUTIONS, NEVER_LEAVE
from production.arithmetic.wax_fill import FragranceOverLimit
from production.errors import LaterActsDepend, NotThere
from production.forms.filling import FillForm
from production.models import RouteStep, StepDraw
from production.operations.filling import set_wax_fill, undo_set_wax_fill
from production.operations.finishing import finish_step
from production.operations.undoing_pieces import undo_finish_step
from production.queries.care import care_facts
from production.queries.cautions import FILL_CAUTIONS
from production.queries.plan_steps import planned_steps, step_facts
from tests.factories.inventory import KG, MONDAY, G, a_filled_tub, a_material, a_tap
from tests.factories.production import a_route, minutes, pieces_of, pots
from tests.production.views.test_bench import words

pytestmark = pytest.mark.django_db

AT = MONDAY + minutes(60 * 24 * 3)


@pytest.fixture
def stores():
    """Wax, fragrance and wicks with 1 kg, 500 g and 20 pieces in their tubs."""
    wax = a_material(name="Container wax", kind="wax", density_g_per_ml=0.9)
    fragrance = a_material(
        name="Sea salt", kind="fragrance", hazard_wording="May cause an allergic reaction."
    )
    wick = a_material(name="Flat wick", kind="wick", unit="piece")
    for material, held in ((wax, KG), (fragrance, 500 * G), (wick, 20_000)):
        a_filled_tub(held, material, role="working")
    return wax, fragrance, wick


@pytest.fixture
def step():
    route = a_route({"wait_minutes": 0, "kind": "fill", "name": "fill", "minutes_each": 4})
    return route.steps.get()


def test_the_form_begins_with_the_density_of_melted_wax_and_refuses_more_than_it_weighs_solid(step, stores):
    wax, *_ = stores
    step.material = wax
    assert FillForm(instance=step).initial["wax_density"] is None

    wax.melted_density_g_per_ml = 0.82
    assert FillForm(instance=step).initial["wax_density"] == 0.82

    form = FillForm({"material": wax.pk, "wax_density": "0.92"}, instance=step)
    assert form.errors["wax_density"] == [
        "0.92 g/mL is more than Container wax weighs solid, 0.9 g/mL. Type it melted, as poured."
    ]


def set_it(step, stores, **changed):
    wax, fragrance, wick = stores
    content = {
        "step_id": step.pk,
        "wax_id": wax.pk,
        # 180 mL at 0.78 g/mL are 140.4 g, and 10 % of the wax is 12.76 g of that: check-values 4.
        "vessel_ul": 200_000,
        "fill_part": 0.9,
        "wax_density": 0.78,
        "fragrance_id": fragrance.pk,
        "fragrance_percent": 10.0,
        "wick_id": wick.pk,
        "wicks": 1,
        **changed,
    }
    return set_wax_fill(**a_tap(now=AT), **content)


def test_a_fragrance_at_its_limit_is_rounded_down_to_the_scale(step, stores):
    set_it(step, stores, limit_percent=10.0)
    step.refresh_from_db()
    assert (step.amount_each, step.fragrance_each) == (127_600, 12_700)


def test_a_fill_is_reckoned_from_the_cup_and_draws_wax_fragrance_and_wick_and_undo_puts_them_back(
    step, stores
):
    done = set_it(step, stores)
    assert "127.6 g of wax, 12.8 g of fragrance (10 % of the wax, 9.09 % of all), 1 wick" in done.said
    step.refresh_from_db()
    # To what the scale shows: 140.4 / 1.1 is 127.64.
    assert (step.amount_each, step.fragrance_each, step.wicks_each) == (127_600, 12_800, 1_000)
    wax, fragrance, wick = stores
    pieces = pieces_of(pots(pieces=2, route=step.route))

    filled = finish_step(**a_tap(now=AT), piece_ids=[one.pk for one in pieces], step_id=step.pk, early=True)

    held = held_by_material()
    assert held[wax.pk] == KG - 2 * step.amount_each
    assert held[fragrance.pk] == 500 * G - 2 * step.fragrance_each
    assert held[wick.pk] == 18_000
    drawn = StepDraw.objects.filter(done__piece=pieces[0]).values_list("material", "amount")
    assert dict(drawn) == {wax.pk: step.amount_each, fragrance.pk: step.fragrance_each, wick.pk: 1_000}
    undo_finish_step(**a_tap(now=AT), act_id=filled.act_id)
    assert held_by_material()[wick.pk] == 20_000


def test_plans_and_care_cards_know_of_the_fragrance_and_the_wick(step, stores):
    set_it(step, stores)
    step.refresh_from_db()
    wax, fragrance, wick = stores
    named = {wax.pk: "wax", fragrance.pk: "fragrance", wick.pk: "wick"}

    (planned,) = planned_steps([step_facts(step)], dry_minutes=0, materials=named).steps
    (piece,) = pieces_of(pots(pieces=1, route=step.route))
    (card,) = care_facts([piece.pk])

    assert {need.supply: need.each for need in planned.needs}["wick"] == 1
    assert [one.material for one in card.filled_with] == ["Container wax", "Sea salt"]
    assert card.filled_with[1].hazard_wording == "May cause an allergic reaction."


def test_what_cannot_be_meant_is_refused_and_changes_nothing(step, stores):
    for changed, sentence in (
        ({"fragrance_percent": 0.0}, "How much fragrance"),
        ({"fragrance_id": None}, "Which fragrance"),
        ({"wicks": 0}, "How many wicks"),
        ({"wick_id": None}, "Which wick"),
        ({"wicks": 13}, "13 wicks cannot be meant"),
        ({"vessel_ul": 0}, "The vessel's volume is 0"),
    ):
        with pytest.raises(StudioError, match=sentence):
            set_it(step, stores, **changed)
    with pytest.raises(FragranceOverLimit, match="more than the 8 %"):
        set_it(step, stores, limit_percent=8.0)
    with pytest.raises(NotThere):
        set_it(a_route({"wait_minutes": 0}).steps.get(), stores)

    assert RouteStep.objects.get(pk=step.pk).material_id is None


def test_undo_puts_back_what_it_took_before_unless_it_was_changed_since(step, stores):
    first, second = set_it(step, stores), set_it(step, stores, fragrance_percent=6.0)

    with pytest.raises(LaterActsDepend):
        undo_set_wax_fill(**a_tap(now=AT), act_id=first.act_id)
    undo_set_wax_fill(**a_tap(now=AT), act_id=second.act_id)
    undo_set_wax_fill(**a_tap(now=AT), act_id=first.act_id)

    step.refresh_from_db()
    assert (step.takes, step.filling) == ((), {})


def test_the_page_reckons_it_and_the_shelf_says_what_to_weigh_with_the_cautions(
    signed_in, studio_open, step, stores
):
    wax, fragrance, wick = stores
    address = reverse("production:fill", args=[step.pk])
    typed = {
        "request_key": "6f1b8f5e-7a55-4f0e-9f0e-0c3f3f1f3a11",
        "vessel": "200 ml", "fill_part": "90", "material": wax.pk, "wax_density": "0.78",
        "fragrance": fragrance.pk, "fragrance_percent": "10", "convention": "of total",
        "wick": wick.pk, "wicks": "1",
    }  # fmt: skip
    assert "The cup holds" in words(signed_in.get(address))

    refused = signed_in.post(address, {**typed, "limit_percent": "8"})
    said = words(signed_in.post(address, typed, follow=True))

    assert refused.status_code == 422
    assert "more than the 8 %" in words(refused)
    assert "14 g Sea salt (11.11 % of the wax, 10 % of all)" in said or "14.0" in said
    pieces_of(pots(pieces=2, route=step.route))
    page = words(signed_in.get("/shelf/"))
    assert "2 pcs Flat wick" in page
    assert "never leave it alone on the heat" in page


def test_the_candle_cautions_have_what_the_standards_ask_for():
    """Sources: EN 15494:2019 (three things always on the label), ASTM F2058-07(2021) (the same three, from
    memory), ASTM F2326-04(2021) (wick trimmed before each burn)."""
    at_the_step, on_the_card = " ".join(FILL_CAUTIONS), " ".join((*NEVER_LEAVE, *CANDLE_CAUTIONS))

    for said in (at_the_step, on_the_card):
        text = said.lower()
        for asked in ("never leave", "burning", "can catch fire", "children and pets", "trim the wick"):
            assert asked in text, asked
    # EN 15494, by type or optional: holder, distance, draught, snuffing, not moving.
    for asked in ("heat does not harm", "10 cm between", "draughts", "snuffer", "do not move"):
        assert asked in on_the_card.lower(), asked
