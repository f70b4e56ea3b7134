"""The life of an article: its photo, and whether it is still made."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from inventory.arithmetic.photos import CleanPhoto
from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.photos import store_photo
from inventory.ports import Offer
from production.errors import AlreadyDone, LaterActsDepend, NotThere
from production.models import Article


@act("production.keep_article_photo")
def keep_article_photo(tap: Tap, *, article_id: int, photo: CleanPhoto | None) -> Done:
    """Keep a photo of an article, in the place of the one before.

    Changes: inventory_photo, production_article. Again: the first answer, no second photo.
    Raises: StudioError when no photo was chosen; NotThere.
    """
    if photo is None:
        raise StudioError("No photo was chosen. Take one, or choose a file.", field="photo")
    article = _locked(article_id)
    before = article.photo_id
    article.photo_id = store_photo(tap, photo)
    article.save(update_fields=["photo"])
    facts = {"article_id": article.pk, "photo_id": article.photo_id, "photo_before": before}
    return Done(f"{article}: photo kept.", facts)


@act("production.retire_article")
def retire_article(tap: Tap, *, article_id: int, on: date) -> Done:
    """Stop making an article: nobody can order it any more. What is ordered already stays.

    Changes: production_article. Again: the first answer. Raises: NotThere; AlreadyDone.
    """
    article = _locked(article_id)
    if article.retired_on is not None:
        raise AlreadyDone(f"{article} is not made any more already.", at=article.retired_on)
    article.retired_on = on
    article.save(update_fields=["retired_on"])
    return Done(f"{article} is not made any more. Plan again without it.", {"article_id": article.pk})


@act("production.take_up_article")
def take_up_article(tap: Tap, *, article_id: int) -> Done:
    """Make a retired article again.

    Changes: production_article. Again: the first answer. Raises: NotThere; AlreadyDone.
    """
    article = _locked(article_id)
    if article.retired_on is None:
        raise AlreadyDone(f"{article} is made already.")
    facts = {"article_id": article.pk, "retired_on": article.retired_on.isoformat()}
    article.retired_on = None
    article.save(update_fields=["retired_on"])
    return Done(f"{article} is made again.", facts)


@act("production.undo_keep_article_photo", undoes="act_id")
def undo_keep_article_photo(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Put the photo before back, or none.

    Raises: NothingToUndo; LaterActsDepend when another photo was kept since.
    """
    answer = act_to_undo(act_id, "production.keep_article_photo").answer
    article = _locked(answer["article_id"])
    if article.photo_id != answer["photo_id"]:
        raise LaterActsDepend(f"{article} has another photo since. Undo that first.")
    article.photo_id = answer["photo_before"]
    article.save(update_fields=["photo"])
    return Done(f"{article}: photo left out.", {})


@act("production.undo_retire_article", undoes="act_id")
def undo_retire_article(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The article is made on. Raises: NothingToUndo."""
    article = _locked(act_to_undo(act_id, "production.retire_article").answer["article_id"])
    article.retired_on = None
    article.save(update_fields=["retired_on"])
    return Done(f"{article} is made again.", {})


@act("production.undo_take_up_article", undoes="act_id")
def undo_take_up_article(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The article is retired since the day it was. Raises: NothingToUndo."""
    answer = act_to_undo(act_id, "production.take_up_article").answer
    article = _locked(answer["article_id"])
    article.retired_on = date.fromisoformat(answer["retired_on"])
    article.save(update_fields=["retired_on"])
    return Done(f"{article} is not made any more.", {})


def _locked(article_id: int) -> Article:
    """The article, locked until the act is over. Raises: NotThere."""
    article = Article.objects.select_for_update(no_key=True).filter(pk=article_id).first()
    if article is None:
        raise NotThere("There is no such article. Open the Range again.", article_id=article_id)
    return article


UNDO_ARTICLES: dict[str, Callable[..., Done]] = {
    "production.keep_article_photo": undo_keep_article_photo,
    "production.retire_article": undo_retire_article,
    "production.take_up_article": undo_take_up_article,
}
