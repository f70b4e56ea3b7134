"""The life of an article."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest
from PIL import Image

from inventory.arithmetic.photos import clean_photo
from inventory.errors import StudioError
from inventory.models import Photo
from production.errors import AlreadyDone, LaterActsDepend, NotThere
from production.operations.ranging import keep_article_photo, retire_article, take_up_article
from production.operations.undoing import UNDO
from tests.factories.inventory import a_tap
from tests.factories.production import a_colour, a_compound, a_mould, an_article
from tests.inventory.arithmetic.test_photos import sent

pytestmark = pytest.mark.django_db
TODAY = date(2026, 10, 5)


@pytest.fixture
def article():
    compound = a_compound()
    return an_article(compound, a_colour(compound), a_mould(), name="Tray")


@pytest.fixture
def photo():
    return clean_photo(sent(Image.new("RGB", (64, 64), (148, 71, 58))))


def test_it_is_retired_made_again_and_each_is_taken_back(article):
    retired = retire_article(**a_tap(), article_id=article.pk, on=TODAY)
    article.refresh_from_db()
    assert (article.retired_on, retired.said) == (
        TODAY,
        "Tray is not made any more. Plan again without it.",
    )
    with pytest.raises(AlreadyDone):
        retire_article(**a_tap(), article_id=article.pk, on=TODAY)

    again = take_up_article(**a_tap(), article_id=article.pk)
    article.refresh_from_db()
    assert article.retired_on is None
    with pytest.raises(AlreadyDone):
        take_up_article(**a_tap(), article_id=article.pk)

    UNDO["production.take_up_article"](**a_tap(), act_id=again.act_id)
    article.refresh_from_db()
    assert article.retired_on == TODAY
    UNDO["production.retire_article"](**a_tap(), act_id=retired.act_id)
    article.refresh_from_db()
    assert article.retired_on is None


def test_a_photo_is_kept_once_and_taken_back_in_turn(article, photo):
    key = uuid4()
    first = keep_article_photo(**a_tap(key), article_id=article.pk, photo=photo)
    assert keep_article_photo(**a_tap(key), article_id=article.pk, photo=photo).again
    assert Photo.objects.count() == 1
    second = keep_article_photo(**a_tap(), article_id=article.pk, photo=photo)

    with pytest.raises(LaterActsDepend):
        UNDO["production.keep_article_photo"](**a_tap(), act_id=first.act_id)
    UNDO["production.keep_article_photo"](**a_tap(), act_id=second.act_id)
    article.refresh_from_db()
    assert article.photo_id == first.facts["photo_id"]


def test_no_photo_and_no_article_are_refused(article):
    with pytest.raises(StudioError, match="No photo was chosen"):
        keep_article_photo(**a_tap(), article_id=article.pk, photo=None)
    with pytest.raises(NotThere):
        retire_article(**a_tap(), article_id=0, on=TODAY)
