"""A mix as it was really weighed: the grams in the jug instead of those on the page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from inventory.arithmetic.quantities import format_amount
from production.arithmetic.mix_walls import MixRefused
from production.errors import ReadingNotBelieved
from production.queries.mix_weights import MixToWeigh, ToFill, weights_of

POWDER, WATER = "powder", "water"
# Beyond this much more or less it is taken for a slip of the finger, not of the scoop.
BELIEVED_FACTOR = 2.0
SHORT_SAID_BELOW = 0.97


@dataclass(frozen=True)
class Ingredient:
    """One thing to weigh: `key` names it on the page, `amount_mg` is what the page shows."""

    key: str
    name: str
    amount_mg: int


def ingredients_of(made_up: MixToWeigh) -> tuple[Ingredient, ...]:
    """What goes into the jug, in the order of the page; nothing while the mix cannot be made up."""
    if made_up.weights is None:
        return ()
    return (
        Ingredient(POWDER, "Powder", made_up.weights.powder_mg),
        Ingredient(WATER, "Water", made_up.weights.water_mg),
        *(Ingredient(str(one.material_id), one.name, one.amount_mg) for one in made_up.pigments),
    )


def as_weighed(made_up: MixToWeigh, weighed_mg: Mapping[str, int]) -> tuple[MixToWeigh, tuple[str, ...]]:
    """The mix with the grams that are really in the jug, and sentences on what follows from them.

    `weighed_mg` has the ingredients that were weighed otherwise than shown, by their key. What is in the jug
    is in the jug: more pigment than the compound carries or too little water is said, not refused.

    Raises: ReadingNotBelieved for less than half or more than twice of what was shown.
    """
    shown = {one.key: one for one in ingredients_of(made_up)}
    real = {key: weighed_mg.get(key, one.amount_mg) for key, one in shown.items()}
    for key, one in shown.items():
        _check_believed(one, real[key])
    if made_up.weights is None or all(real[key] == one.amount_mg for key, one in shown.items()):
        return made_up, ()
    assert made_up.powder is not None
    powder_mg, water_mg = real[POWDER], real[WATER]
    pigments = tuple(replace(one, amount_mg=real[str(one.material_id)]) for one in made_up.pigments)
    sentences = _short_words(shown[POWDER].amount_mg, powder_mg)
    fills = made_up.fills
    try:
        fills = _dried_alike(made_up, real)
    except MixRefused as fault:
        sentences = (*sentences, fault.message)
    changed = replace(
        made_up,
        weights=replace(made_up.weights, powder_mg=powder_mg, water_mg=water_mg),
        powder=replace(made_up.powder, amount_mg=powder_mg),
        pigments=pigments,
        fills=fills,
    )
    return changed, sentences


def _check_believed(one: Ingredient, real_mg: int) -> None:
    if one.amount_mg / BELIEVED_FACTOR <= real_mg <= one.amount_mg * BELIEVED_FACTOR:
        return
    shown, real = format_amount(one.amount_mg, "g"), format_amount(real_mg, "g")
    raise ReadingNotBelieved(
        f"{one.name}: the page says {shown} and {real} was typed. Read the scale again.",
        shown_mg=one.amount_mg,
        mass_mg=real_mg,
        field=f"real_{one.key}",
    )


def _short_words(shown_mg: int, real_mg: int) -> tuple[str, ...]:
    if real_mg >= shown_mg * SHORT_SAID_BELOW:
        return ()
    less = format_amount(shown_mg - real_mg, "g", places=0)
    return (f"{less} less powder than planned: the last mould may not fill.",)


def _dried_alike(made_up: MixToWeigh, real: Mapping[str, int]) -> tuple[ToFill, ...]:
    """The fills with the dry mass that the ratios really weighed leave.

    Raises: MixRefused as the arithmetic refuses such ratios.
    """
    asked = made_up.asked
    pigments = tuple(
        replace(one, load=real[str(one.material_id)] / real[POWDER]) for one in asked.pigments or ()
    )
    percent = 100 * (real[WATER] / real[POWDER] / asked.compound.water_ratio - 1)
    is_sieved = bool(made_up.powder and made_up.powder.tub and made_up.powder.tub.sieve)
    by_ratio = weights_of(
        replace(asked, pigments=None if asked.pigments is None else pigments), percent, sieve=is_sieved
    )
    return tuple(
        replace(fill, dry_mg_per_ul=(weight.dry_mg or 0) / weight.volume_ul)
        for fill, weight in zip(made_up.fills, by_ratio.fills, strict=True)
    )
