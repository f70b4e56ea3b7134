"""The Range in a browser's eyes, and a whole range entered through its pages."""

from __future__ import annotations

from datetime import date, time
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.ports import OpenHours, StudioFacts, StudioHours
from production.models import Article, ArticlePart, Colour, Compound, Mould, Route
from production.operations.owning import add_copies
from production.planning.demand import Demand
from production.queries.problem import build_problem
from shopfloor.studio.models import WeeklyHours
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_tap
from tests.factories.production import (
    a_colour,
    a_compound,
    a_mould,
    a_route,
    an_article,
    pots,
    poured,
)
from tests.production.typed import a_typed_compound, rows, send, show, step, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]

FACTS = StudioFacts("Samphire Lane", "", "", "GBP", 1600, 2, 12, "")
WEEK = tuple(OpenHours(day, time(8), time(17), 1) for day in range(5))
HOURS = StudioHours(ZoneInfo("UTC"), WEEK, frozenset())


class TestShow:
    def test_an_empty_range_says_how_to_begin_and_in_which_order(self, signed_in):
        page = words(show(signed_in, "range"))

        assert "Nothing in the range. Add an article: what it is called, which moulds, which colours." in page
        order = ["Add the materials", "Add a compound", "Add a colour", "Add a mould", "Add a route"]
        places = [page.index(f"{step}</a>") for step in order]
        assert places == sorted(places)

    def test_the_list_begins_with_the_hours_without_which_nothing_is_planned(self, signed_in):
        assert "Hours with hands in are there." in words(show(signed_in, "range"))
        WeeklyHours.objects.all().delete()

        page = words(show(signed_in, "range"))

        there = '<a href="/studio/">Say when hands are in</a>: without hours nothing can be planned.'
        assert page.index(there) < page.index("Add the materials</a>")
        assert there in words(show(signed_in, "bench"))

    def test_the_list_stays_until_the_first_mix_and_names_a_mould_that_is_half_there(self, signed_in):
        mould = a_mould(copies=0, name="Long tray")
        assert "Long tray</a> has no copy yet." in words(show(signed_in, "range"))
        add_copies(**a_tap(), mould_id=mould.pk, count=1, casts_before=0, casts_expected=60)
        Mould.objects.update(volume_ul=None)
        assert "Long tray</a> was never measured." in words(show(signed_in, "range"))

        planned = pots()
        page = words(show(signed_in, "range"))
        assert "The week is planned." in page
        assert "Weigh the first mix" in page
        poured(planned)
        assert "To the first mix" not in words(show(signed_in, "range"))

    def test_what_is_there_is_not_asked_for_again(self, signed_in):
        a_colour(a_compound())

        page = words(show(signed_in, "range"))

        assert "Materials are in the Stores." in page
        assert "A compound is there." in page
        assert "Add a mould" in page

    def test_an_article_stands_with_its_parts_colours_and_days(self, signed_in):
        compound = a_compound(name="quick compound", dry_hours=24)
        colour = a_colour(compound, name="Brick", load=0.02)
        article = an_article(compound, colour, a_mould(), a_mould(), name="Saltings pot and saucer")

        page = words(show(signed_in, "range"))

        assert reverse("production:article", args=[article.pk]) in page
        assert "pot, saucer" in page
        assert "1 d 1 h" in page  # 10 min to mix, 1 to fill, 60 in the mould, 3 to open, 24 h to dry
        assert "quick compound: Red oxide" in page

    def test_the_page_of_an_article_says_what_a_piece_takes(self, signed_in):
        powder = a_material(name="Pale powder")
        a_filled_tub(5 * KG, powder, role="working")
        compound = a_compound(powder=powder, overfill=0.0)
        colour = a_colour(compound, name="Brick")
        sealer = a_material(name="Clear sealer", kind="sealer", unit="ml")
        route = a_route({"wait_minutes": None, "material": sealer, "amount_each": 12_000})
        article = an_article(
            compound, colour, a_mould(name="Long tray", volume_ul=521_683), route=route, care="Wipe it dry."
        )

        page = words(show(signed_in, "article", article.pk))

        assert "<dt>Pale powder</dt>" in page
        assert "<dt>Clear sealer</dt><dd>12 mL</dd>" in page
        assert ">521.7<" in page
        assert "Wipe it dry." in page
        assert "Long tray" in page
        assert "until dry" in page
        assert "Cannot be made" not in page

    def test_an_article_that_cannot_be_made_says_why(self, signed_in):
        compound = a_compound(name="slow plaster")
        article = an_article(compound, a_colour(name="Rust"), a_mould())

        page = words(show(signed_in, "article", article.pk))

        assert "Cannot be made." in page
        assert "Rust" in page
        assert "slow plaster" in page

    def test_an_article_that_is_not_there_leads_back(self, signed_in):
        assert show(signed_in, "article", 99).url == reverse("production:range")

    def test_a_helper_reads_and_changes_nothing(self, signed_in_helper):
        compound = a_compound()
        article = an_article(compound, a_colour(compound), a_mould())

        assert "Add an article" not in words(show(signed_in_helper, "range"))
        assert "Change the article" not in words(show(signed_in_helper, "article", article.pk))
        assert show(signed_in_helper, "article-edit", article.pk).status_code == 403

    def test_more_articles_ask_no_more_queries(self, signed_in):
        compound = a_compound()
        colour = a_colour(compound)

        def asked():
            with CaptureQueriesContext(connection) as queries:
                show(signed_in, "range")
            return len(queries)

        def more():
            route = a_route({"wait_minutes": None}, {"wait_minutes": 60})
            an_article(compound, colour, a_mould(), a_mould(), route=route)

        more()
        asked()  # the first page of a session also keeps it
        few = asked()
        for _ in range(8):
            more()

        assert asked() == few


class TestArticle:
    @pytest.fixture
    def made_of(self):
        compound = a_compound()
        return compound, a_colour(compound), a_mould(), a_route()

    def typed(self, made_of, *parts, kept=0, **other):
        _, colour, _, route = made_of
        return {
            "name": "Ferry tray",
            "silhouette": "tray",
            "route": route.pk,
            "colours": [colour.pk],
            "pack_minutes": "5",
            **rows(*parts, kept=kept),
            **other,
        }

    def part(self, made_of, name="tray", **other):
        compound, _, mould, _ = made_of
        return {"name": name, "mould": mould.pk, "compound": compound.pk, **other}

    def test_it_is_kept_with_its_parts_and_colours(self, signed_in, made_of):
        box = a_material(kind="packaging", unit="piece")
        typed = self.typed(made_of, self.part(made_of), {}, packaging=box.pk, packaging_each="1")
        answer = send(signed_in, "article-new", **typed)

        article = Article.objects.get()
        assert answer.url == reverse("production:article", args=[article.pk])
        assert [part.name for part in article.parts.all()] == ["tray"]
        assert list(article.colours.all()) == [made_of[1]]
        assert article.packaging_each == 1000

    def test_parts_of_one_mix_share_compound_and_colour(self, signed_in, made_of):
        other = self.part(made_of, "lid", compound=a_compound().pk)
        page = send(
            signed_in, "article-new", **self.typed(made_of, self.part(made_of), other, is_matched="on")
        )

        assert page.status_code == 422
        assert "Parts that come from one mix need the same compound and colour." in words(page)
        assert 'value="Ferry tray"' in words(page)
        assert not Article.objects.exists()

    def test_what_is_wrong_above_and_in_the_rows_is_said_at_once(self, signed_in, made_of):
        page = send(signed_in, "article-new", **self.typed(made_of, self.part(made_of, mould=""), name=""))

        assert "name" in page.context["form"].errors
        assert "mould" in page.context["rows"].forms[0].errors

    def test_a_part_that_was_cast_cannot_be_taken_out(self, signed_in):
        mix = poured(pots())
        part = mix.casts.first().part
        article = part.article
        row = {
            "id": part.pk,
            "name": part.name,
            "mould": part.mould_id,
            "compound": part.compound_id,
            "DELETE": "on",
        }
        typed = {
            "name": article.name,
            "silhouette": "pot",
            "route": article.route_id,
            "colours": [mix.colour_id],
            "pack_minutes": "5",
            **rows(row, kept=1),
        }
        page = send(signed_in, "article-edit", article.pk, **typed)

        assert page.status_code == 422
        assert "its history needs it. Keep it." in words(page)
        assert ArticlePart.objects.filter(pk=part.pk).exists()

    def test_a_part_in_the_moulds_keeps_its_mould(self, signed_in):
        mix = poured(pots())
        part = mix.casts.first().part
        row = {"id": part.pk, "name": part.name, "mould": a_mould().pk, "compound": part.compound_id}
        typed = {
            "name": part.article.name,
            "silhouette": "pot",
            "route": part.article.route_id,
            "colours": [mix.colour_id],
            "pack_minutes": "5",
            **rows(row, kept=1),
        }
        page = send(signed_in, "article-edit", part.article_id, **typed)

        assert page.status_code == 422
        assert "in moulds now. Change it once they are out." in words(page)

    def test_one_that_is_not_made_any_more_leaves_the_table(self, signed_in, made_of):
        compound, colour, mould, route = made_of
        article = an_article(compound, colour, mould, route=route, name="Ferry tray")
        assert "Nothing of it is ordered." in words(show(signed_in, "article-retire", article.pk))
        send(signed_in, "article-retire", article.pk)

        page = words(show(signed_in, "range"))

        assert "Not made any more" in page
        assert "Nothing in the range." in page
        send(signed_in, "article-again", article.pk)
        assert "Not made any more" not in words(show(signed_in, "range"))

    def test_a_copy_begins_as_the_other_is_and_takes_its_price_along(self, signed_in, made_of):
        compound, colour, mould, route = made_of
        first = an_article(
            compound,
            colour,
            mould,
            route=route,
            name="Tray",
            care="Wipe.",
            price_minor=1800,
            margin_wanted=0.4,
        )
        like = f"{reverse('production:article-new')}?like={first.pk}"
        page = signed_in.get(like)
        assert "Like Tray, but" in words(page)
        assert page.context["form"].initial["care"] == "Wipe."
        assert page.context["rows"].forms[0].initial["mould"] == mould.pk
        # A part sent with the article it was copied from is refused, and the field is not to be seen.
        assert page.context["rows"].forms[0]["article"].value() is None

        typed = self.typed(made_of, self.part(made_of, "pot"), name="Small tray")
        signed_in.post(like, {"request_key": str(uuid4()), **typed})

        made = Article.objects.get(name="Small tray")
        assert (made.price_minor, made.margin_wanted, made.parts.get().name) == (1800, 0.4, "pot")
        assert Article.objects.get(name="Tray").parts.count() == 1

    def test_a_new_name_is_said_with_what_order_files_do(self, signed_in, made_of):
        compound, colour, mould, route = made_of
        article = an_article(compound, colour, mould, route=route, name="Tray")
        part = self.part(made_of, id=article.parts.get().pk)

        answer = send(signed_in, "article-edit", article.pk, **self.typed(made_of, part, kept=1))

        said = "Tray is called Ferry tray now. Order files ask once what that is."
        assert said in words(signed_in.get(answer.url))

    def test_more_rows_are_kept_and_asked_for(self, signed_in, made_of):
        answer = send(signed_in, "article-new", **self.typed(made_of, self.part(made_of), more="1"))

        assert answer.url == reverse("production:article-edit", args=[Article.objects.get().pk])

    def test_what_is_missing_for_an_article_is_said_where_it_is_chosen(self, signed_in):
        page = words(show(signed_in, "article-new"))

        assert "No route yet. Add one in Range first." in page
        assert "No mould yet. Add one in Moulds first." in page

    def test_a_photo_that_is_none_is_refused(self, signed_in, made_of):
        compound, colour, mould, route = made_of
        article = an_article(compound, colour, mould, route=route)

        answer = send(signed_in, "article-photo", article.pk)

        assert "No photo was chosen." in words(signed_in.get(answer.url))


def test_a_whole_range_typed_from_nothing_can_be_planned(signed_in):
    powder = a_material(name="Pale powder")
    a_filled_tub(15 * KG, powder, role="working")
    oxide = a_material(name="Red oxide", kind="pigment")
    a_filled_tub(KG, oxide, role="working")
    sealer = a_material(name="Clear sealer", kind="sealer", unit="ml")

    send(signed_in, "compound-new", **a_typed_compound(powder))
    compound = Compound.objects.get()
    pigment = {"compound": compound.pk, "pigment": oxide.pk, "load": "2"}
    send(signed_in, "colour-new", name="Brick", hex="#94473a", **rows(pigment))
    mould = {"name": "Ferry tray", "silhouette": "tray", "fill_minutes": "2", "open_minutes": "3"}
    send(signed_in, "mould-new", **mould, in_mould_minutes="", clean_and_dry_minutes="2 h")
    mould = Mould.objects.get()
    send(signed_in, "mould-copies", mould.pk, count="2", casts_before="0", casts_expected="60")
    send(signed_in, "mould", mould.pk, water="300 g", water_c="20")
    coat = step(1, "coat 1", material=sealer.pk, amount_each="12 ml")
    send(signed_in, "route-new", name="one coat", **rows(coat))
    article = {
        "name": "Ferry tray",
        "silhouette": "tray",
        "route": Route.objects.get().pk,
        "colours": [Colour.objects.get().pk],
        "pack_minutes": "5",
    }
    part = {"name": "tray", "mould": mould.pk, "compound": compound.pk}
    send(signed_in, "article-new", **article, **rows(part))

    article = Article.objects.get()
    demand = Demand(
        wanted_by="line:1",
        label="1041",
        article_id=article.pk,
        colour_id=Colour.objects.get().pk,
        quantity=2,
        ship_by=date(2026, 10, 16),
    )
    task = build_problem([demand], now=MONDAY, hours=HOURS, facts=FACTS)
    assert task.cannot_be_made == ()
    assert [kind.copies for kind in task.problem.moulds] == [2]
    assert [line.quantity for line in task.problem.lines] == [2]
