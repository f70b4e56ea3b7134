import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.planning.form_articles import article_from_form, article_to_form, usual_route
from production.planning.form_fields import Fields
from production.planning.problem import Step
from tests.production.planning.builders import an_article

PARTS = [{"name": "body", "mould": "tray", "ml": 100, "compound": "Quick", "colour": None}]


def read(**route):
    form = {"parts": PARTS, "matched": False, "pack_minutes": 10, **route}
    return article_from_form("Tray", Fields("articles.Tray", form))


def usual(**changes):
    route = {"coats": 2, "coat_minutes": 3, "recoat_hours": 4, "fill_minutes": 0, "cure_hours": 0}
    return read(**{**route, **changes})


def test_coats_wait_for_drying_then_for_each_other_and_packing_for_the_last():
    article = usual()

    assert article.steps == (Step("coat 1", None, 3), Step("coat 2", 240, 3))
    assert article.pack_wait_minutes == 240


def test_a_fill_waits_for_the_last_coat_and_packing_for_the_cure():
    article = usual(fill_minutes=2, cure_hours=72)

    assert [step.name for step in article.steps] == ["coat 1", "coat 2", "fill"]
    assert article.steps[-1] == Step("fill", 240, 2)
    assert article.pack_wait_minutes == 72 * 60


def test_a_fill_without_coats_waits_for_drying():
    assert usual(coats=0, fill_minutes=2, cure_hours=1.5).steps == (Step("fill", None, 2),)


def test_without_any_step_packing_follows_drying():
    assert (usual(coats=0).steps, usual(coats=0).pack_wait_minutes) == ((), 0)


def test_steps_of_any_kind_are_read_in_place_of_the_usual_route():
    steps = [{"name": "wash", "wait_minutes": None, "minutes_each": 1.5, "minutes_per_batch": 4}]

    article = read(steps=steps)

    assert article.steps == (Step("wash", None, 1.5, 4),)
    assert article.pack_wait_minutes == 0


@given(
    st.integers(0, 3),
    st.sampled_from((0.5, 3)),
    st.integers(0, 30),
    st.sampled_from((0, 2)),
    st.integers(0, 99),
)
def test_the_usual_route_is_written_in_its_own_fields_and_read_back(coats, coat, recoat, fill, cure):
    steps, pack_wait = usual_route(
        coats=coats, coat_minutes=coat, recoat_minutes=recoat * 15, fill_minutes=fill, cure_minutes=cure * 60
    )
    article = an_article(steps=steps, pack_wait_minutes=pack_wait)

    form = article_to_form(article)

    assert article_from_form("Tray", Fields("", form)) == article
    if coats < 2 and fill and recoat and coats:
        assert "coats" in form
    if coats >= 2:
        assert form["coats"] == coats


@pytest.mark.parametrize(
    "steps",
    [
        (Step("wash", None, 1),),
        (Step("coat 1", None, 3), Step("coat 2", 240, 4)),
        (Step("coat 1", None, 3, 5),),
        (Step("coat 1", 60, 3),),
        (Step("fill", None, 2), Step("coat 1", 60, 3)),
    ],
)
def test_other_routes_are_written_as_steps_and_read_back(steps):
    article = an_article(steps=steps, pack_wait_minutes=45)

    form = article_to_form(article)

    assert "steps" in form
    assert "coats" not in form
    assert article_from_form("Tray", Fields("", form)) == article
