"""Costs and prices in a browser's eyes: the owner's only."""

from __future__ import annotations

from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.models import Lot
from production.models import Article
from tests.factories.production import a_colour, a_compound, a_mould, an_article, pieces_of, pots
from tests.production.typed import send, show, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


@pytest.fixture
def piece():
    made = pieces_of(pots())[0]
    Lot.objects.update(price_minor=1000)
    return made


def test_the_page_adds_up_and_a_price_is_kept_against_it(signed_in, piece):
    page = show(signed_in, "article-cost", piece.article_id)
    rows = page.context["rows"]
    assert sum(row.minor for row in rows) == page.context["shown"].total_minor
    assert piece.mark in words(page)

    send(signed_in, "article-cost", piece.article_id, price_minor="5.00", margin_wanted="95")

    article = Article.objects.get()
    assert (article.price_minor, article.margin_wanted) == (500, 0.95)
    said = words(show(signed_in, "article-cost", piece.article_id))
    assert "Sold at 5.00 GBP" in said
    assert "Too little is left." in said
    assert "too low" in words(show(signed_in, "range"))


def test_a_margin_of_all_the_price_is_refused_and_what_was_typed_stays(signed_in, piece):
    page = send(signed_in, "article-cost", piece.article_id, price_minor="12.50", margin_wanted="100")

    assert page.status_code == 422
    assert 'value="12.50"' in words(page)
    assert Article.objects.get().price_minor is None


def test_a_piece_stands_beside_what_it_should_cost_with_the_reasons(signed_in, piece):
    page = show(signed_in, "piece-cost", piece.mark)

    cost = page.context["cost"]
    assert sum(minor for _, minor in page.context["because"]) == cost.difference_minor
    assert f"{piece.mark} cost" in words(page)


def test_the_cost_sheet_is_a_tagged_paper_with_the_same_total(signed_in, piece):
    page = show(signed_in, "article-cost", piece.article_id)
    answer = show(signed_in, "cost-sheet", piece.article_id)

    if answer["Content-Type"] == "application/pdf":
        paper = PdfReader(BytesIO(answer.content))
        text = " ".join("".join(sheet.extract_text() for sheet in paper.pages).split())
        assert paper.trailer["/Root"]["/MarkInfo"]["/Marked"]
    else:
        text = words(answer)
    total = page.context["shown"].total_minor
    assert f"{total // 100}.{total % 100:02} GBP" in text
    assert "Cost sheet" in text


def test_the_cost_sheet_of_all_has_each_article_with_the_total_of_its_own_page(signed_in, piece):
    spare = an_article(a_compound(), a_colour(), a_mould(copies=0))
    total = show(signed_in, "article-cost", piece.article_id).context["shown"].total_minor

    answer = show(signed_in, "cost-sheet-all")

    rows = {one.article.pk: (one, sums) for one, sums in answer.context["rows"]}
    assert rows[piece.article_id][0].dearest.total_minor == sum(rows[piece.article_id][1]) == total
    assert rows[spare.pk][1] == ()


def test_an_article_that_cannot_be_made_says_so(signed_in):
    article = an_article(a_compound(), a_colour(), a_mould())

    assert "cannot be made" in words(show(signed_in, "article-cost", article.pk))
    assert show(signed_in, "cost-sheet", article.pk).status_code == 200
    assert show(signed_in, "article-cost", 999).url == reverse("production:range")
    assert show(signed_in, "piece-cost", "NONE").url == reverse("production:range")


def test_a_helper_sees_no_cost_no_price_and_no_rate(signed_in_helper, piece):
    Article.objects.update(price_minor=4321)

    for name, args in (("article-cost", [piece.article_id]), ("cost-sheet", [piece.article_id])):
        assert show(signed_in_helper, name, *args).status_code == 403
    assert show(signed_in_helper, "piece-cost", piece.mark).status_code == 403
    for name, args in (("range", []), ("article", [piece.article_id]), ("piece", [piece.mark])):
        said = words(show(signed_in_helper, name, *args))
        assert "GBP" not in said
        assert "43.21" not in said
        assert "cost" not in said.lower().replace("costume", "")
