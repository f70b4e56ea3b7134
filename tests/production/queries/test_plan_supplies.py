"""Powder, pigment, sealer and packaging of the plan: in hand, coming, and what nobody ordered."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.models import Delivery, Material
from production.models import Article, Mould, PlannedMix, RouteStep
from production.planning.demand import Demand
from production.planning.effort import Effort
from production.planning.solve import plan
from tests.factories.inventory import KG, a_filled_tub, a_material, a_supplier
from tests.factories.production import a_colour, a_compound, a_mould, an_article, pieces_of
from tests.production.queries.test_problem import FRIDAY, HOUR, bookends, task_of, wants

pytestmark = pytest.mark.django_db

PIECE = 1000
OCTOBER_1 = date(2026, 10, 1)


def supply(task, name: str):
    return task.problem.supply_by_name[name]


def boxed(planned: PlannedMix, *, held: int, **fields) -> Material:
    """Every article goes into one box of which so many are here."""
    box = a_material(name="Post box", kind="packaging", unit="piece", **fields)
    if held:
        a_filled_tub(held * PIECE, box, capacity=1000 * PIECE)
    Article.objects.update(packaging=box, packaging_each=PIECE)
    return box


def on_its_way(material: Material, amount: int, expected_on: date) -> None:
    Delivery.objects.create(material=material, amount=amount, ordered_on=OCTOBER_1, expected_on=expected_on)


def test_powder_in_every_tub_counts_and_a_delivery_comes_by_closing_time() -> None:
    planned = bookends()
    powder = planned.compound.powder
    on_its_way(powder, 5 * KG, date(2026, 10, 7))

    task = task_of(wants(planned))

    found = supply(task, powder.name)
    assert task.problem.compounds[0].powder == powder.name
    assert found.opening == 15_000
    assert [(receipt.at, receipt.amount) for receipt in found.receipts] == [(2 * 1440 + 17 * HOUR, 5000)]
    assert task.not_ordered == {}


def test_a_delivery_that_is_overdue_is_taken_to_come_today() -> None:
    planned = bookends()
    on_its_way(planned.compound.powder, 5 * KG, date(2026, 10, 2))

    (receipt,) = supply(task_of(wants(planned)), planned.compound.powder.name).receipts

    assert receipt.at == 17 * HOUR


def test_two_compounds_of_one_powder_draw_on_one_supply() -> None:
    planned = bookends()
    powder = planned.compound.powder
    thick = a_compound(powder=powder)
    colour = a_colour(thick)
    other = an_article(thick, colour, a_mould(volume_ul=900_000), part_names=["block"])
    demand = Demand("line:13", "1046", other.pk, colour.pk, 2, FRIDAY)

    problem = task_of(wants(planned), demand).problem

    assert [compound.powder for compound in problem.compounds] == [powder.name, powder.name]
    assert supply(task_of(wants(planned), demand), powder.name).opening == 15_000


def test_the_pigments_of_a_colour_are_a_recipe_per_gram_of_powder() -> None:
    planned = bookends()

    problem = task_of(wants(planned)).problem

    (recipe,) = problem.recipes
    (need,) = recipe.needs
    assert (recipe.compound, recipe.colour) == (planned.compound.name, planned.colour.name)
    assert need.per_powder_g == pytest.approx(0.02)
    assert problem.supply_by_name[need.supply].opening == 1000


def test_what_a_step_takes_and_the_box_are_needs_of_the_article() -> None:
    planned = bookends()
    sealer = a_material(name="Matt sealer", kind="sealer", unit="ml")
    a_filled_tub(500 * 1000, sealer)
    RouteStep.objects.filter(kind="coat").update(material=sealer, amount_each=4_500)
    boxed(planned, held=40)

    task = task_of(wants(planned))

    (article,) = task.problem.articles
    assert [(need.supply, need.each) for need in article.steps[0].needs] == [("Matt sealer", 4.5)]
    assert [(need.supply, need.each) for need in article.pack_needs] == [("Post box", 1)]
    assert supply(task, "Matt sealer").opening == 500
    assert supply(task, "Post box").opening == 40


def test_boxes_of_ready_pieces_are_spoken_for_and_wished_pieces_take_none() -> None:
    planned = bookends()
    kept = tuple(piece.pk for piece in pieces_of(planned))
    RouteStep.objects.all().delete()
    Mould.objects.update(in_mould_minutes=0)
    boxed(planned, held=10)
    later = {"now": task_of().planned_from.replace(day=20)}

    task = task_of(
        wants(planned, kept_piece_ids=kept, quantity=3, ship_by=date(2026, 10, 30)),
        wants(planned, wanted_by="wish:1", weight=0, quantity=4, ship_by=date(2026, 10, 30)),
        **later,
    )

    assert supply(task, "Post box").opening == 8
    ordered, wished = task.problem.articles
    assert [need.supply for need in ordered.pack_needs] == ["Post box"]
    assert wished.pack_needs == ()
    assert task.part_ids[wished.name] == task.part_ids[ordered.name]


def test_what_nobody_ordered_comes_after_its_suppliers_time_and_the_line_waits() -> None:
    """Monday 5 October and four working days (three and one allowed): Friday the 9th by closing."""
    planned = bookends()
    boxed(planned, held=1, supplier=a_supplier(lead_working_days=3), slack_days=1)

    task = task_of(wants(planned, quantity=2))
    solution = plan(task.problem, effort=Effort(rules=1))

    missing = task.not_ordered["Post box"]
    assert (missing.here, missing.ordered, missing.in_by) == (1, 0, date(2026, 10, 9))
    (line,) = solution.lines
    assert line.packed_at is not None
    assert line.packed_at > 4 * 1440 + 17 * HOUR


def test_a_delivery_that_is_enough_is_waited_for_and_nothing_else_is_reckoned_with() -> None:
    planned = bookends()
    box = boxed(planned, held=0)
    on_its_way(box, 50 * PIECE, date(2026, 10, 14))

    task = task_of(wants(planned))
    solution = plan(task.problem, effort=Effort(rules=1))

    assert "Post box" not in task.not_ordered
    assert solution.lines[0].packed_at > 9 * 1440 + 17 * HOUR
