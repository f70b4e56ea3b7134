"""Noting how a recipe or a mix measures and looks, and making a tint of a colour."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inventory.arithmetic.photos import CleanPhoto
from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.photos import store_photo
from inventory.ports import Offer
from production.arithmetic.colour_difference import Lab, check_lab, ciede2000, difference_words
from production.arithmetic.tints import check_strength, tint_drawn_as
from production.errors import LaterActsDepend, NotThere, SwatchRefused, TintRefused
from production.models import Cast, Colour, ColourPigment, Compound, Mix, MixSwatch, Piece, RecipeSwatch


@act("production.note_recipe_swatch")
def note_recipe_swatch(
    tap: Tap, *, colour_id: int, compound_id: int, lab: Lab | None = None, photo: CleanPhoto | None = None
) -> Done:
    """Keep what a colour in a compound should come out as; a photo not given stays as it was.

    Changes: production_recipeswatch, inventory_photo.
    Again: the first answer.
    Raises: NotThere; SwatchRefused without a figure and a photo, or for figures no meter shows.
    """
    colour, compound = Colour.objects.filter(pk=colour_id).first(), Compound.objects.filter(pk=compound_id)
    if colour is None or not compound.exists():
        raise NotThere("There is no such colour or compound. Open the Range again.")
    before = RecipeSwatch.objects.filter(colour=colour_id, compound=compound_id).first()
    fields = _fields(tap, before, lab, photo)
    RecipeSwatch.objects.update_or_create(colour_id=colour_id, compound_id=compound_id, defaults=fields)
    facts = {"colour_id": colour_id, "compound_id": compound_id, "before": _kept(before)}
    return Done(f"{colour} in {compound.get()}: swatch kept.", facts)


@act("production.note_mix_swatch")
def note_mix_swatch(
    tap: Tap, *, mix_id: int, lab: Lab | None = None, photo: CleanPhoto | None = None
) -> Done:
    """Keep what a mix came out as, dry, and say how far it is from its recipe's swatch.

    Changes: production_mixswatch, inventory_photo.
    Again: the first answer.
    Raises: NotThere; SwatchRefused as `note_recipe_swatch`.
    """
    mix = Mix.objects.select_related("colour").filter(pk=mix_id, undone_at__isnull=True).first()
    if mix is None:
        raise NotThere("There is no such mix. Open the Bench again.", mix_id=mix_id)
    before = MixSwatch.objects.filter(mix=mix).first()
    MixSwatch.objects.update_or_create(mix=mix, defaults=_fields(tap, before, lab, photo))
    said = f"Mix {mix.number}: swatch kept."
    wanted = RecipeSwatch.objects.filter(colour=mix.colour_id, compound=mix.compound_id).first()
    if lab and wanted and wanted.lab:
        difference = ciede2000(wanted.lab, lab)
        said += f" {difference:.1f} from {mix.colour}'s own: {difference_words(difference)}."
    return Done(said, {"mix_id": mix.pk, "before": _kept(before)})


@act("production.add_tint")
def add_tint(tap: Tap, *, colour_id: int, name: str, strength: float) -> Done:
    """Make a tint: a colour of its own with the pigments of another at a part of their strength.

    Its recipe can be changed afterwards and does not follow its parent's.
    Changes: production_colour, production_colourpigment.
    Again: the first answer.
    Raises: NotThere; TintRefused for a strength that makes none, a name that is taken, or no pigments.
    """
    parent = Colour.objects.filter(pk=colour_id).first()
    if parent is None:
        raise NotThere("There is no such colour. Open the Range again.", colour_id=colour_id)
    check_strength(strength)
    twin = Colour.objects.filter(name__iexact=name).first()
    if twin:
        raise TintRefused(f"{twin} is here already. Give the tint another name.", field="name")
    pigments = list(parent.pigments.all())
    if not pigments:
        raise TintRefused(f"{parent} has no pigments yet. Give it its recipe first.", field="strength")
    tint = Colour.objects.create(
        name=name, hex=tint_drawn_as(parent.hex, strength), tint_of=parent, strength=strength
    )
    ColourPigment.objects.bulk_create(
        ColourPigment(
            colour=tint, compound_id=row.compound_id, pigment_id=row.pigment_id, load=row.load * strength
        )
        for row in pigments
    )
    return Done(f"{tint} added: {parent} at {strength * 100:g} %.", {"colour_id": tint.pk})


@act("production.undo_note_recipe_swatch", undoes="act_id")
def undo_note_recipe_swatch(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The swatch as it was before, or none. Raises: NothingToUndo."""
    answer = act_to_undo(act_id, "production.note_recipe_swatch").answer
    rows = RecipeSwatch.objects.filter(colour=answer["colour_id"], compound=answer["compound_id"])
    _put_back(rows, answer["before"])
    return Done("The swatch is as it was before.", {})


@act("production.undo_note_mix_swatch", undoes="act_id")
def undo_note_mix_swatch(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The swatch as it was before, or none. Raises: NothingToUndo."""
    answer = act_to_undo(act_id, "production.note_mix_swatch").answer
    _put_back(MixSwatch.objects.filter(mix=answer["mix_id"]), answer["before"])
    return Done("The swatch is as it was before.", {})


@act("production.undo_add_tint", undoes="act_id")
def undo_add_tint(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Strike the tint out, as if it had never been.

    Raises: NothingToUndo; LaterActsDepend once an article is made in it, or something was cast in it.
    """
    tint = Colour.objects.filter(pk=act_to_undo(act_id, "production.add_tint").answer["colour_id"]).first()
    if tint is None:
        raise LaterActsDepend("That tint is gone already. There is nothing to undo.")
    used = (
        tint.articles.exists()
        or tint.tints.exists()
        or Mix.objects.filter(colour=tint).exists()
        or Cast.objects.filter(piece_colour=tint).exists()
        or Piece.objects.filter(colour=tint).exists()
    )
    if used:
        raise LaterActsDepend(f"{tint} is in use by now. Take it out of the articles first.")
    tint.pigments.all().delete()
    tint.delete()
    return Done(f"{tint} struck out.", {})


def _fields(
    tap: Tap, before: MixSwatch | RecipeSwatch | None, lab: Lab | None, photo: CleanPhoto | None
) -> dict[str, Any]:
    """What the swatch becomes."""
    if lab is None and photo is None:
        raise SwatchRefused("Type what the meter shows, or choose a photo.", field="lightness")
    if lab is not None:
        check_lab(lab)
    else:
        lab = before.lab if before else None
    photo_id = store_photo(tap, photo) if photo else before.photo_id if before else None
    return {
        "lightness": lab.lightness if lab else None,
        "a": lab.a if lab else None,
        "b": lab.b if lab else None,
        "photo_id": photo_id,
        "noted_at": tap.happened_at,
    }


def _kept(before: MixSwatch | RecipeSwatch | None) -> dict[str, Any] | None:
    if before is None:
        return None
    return {
        "lightness": before.lightness,
        "a": before.a,
        "b": before.b,
        "photo_id": before.photo_id,
        "noted_at": before.noted_at.isoformat(),
    }


def _put_back(rows: Any, before: dict[str, Any] | None) -> None:
    if before is None:
        rows.delete()
    else:
        rows.update(**before)


UNDO_SWATCHES: dict[str, Callable[..., Done]] = {
    "production.note_recipe_swatch": undo_note_recipe_swatch,
    "production.note_mix_swatch": undo_note_mix_swatch,
    "production.add_tint": undo_add_tint,
}
