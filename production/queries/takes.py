"""What one piece of an article takes of every material."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from production.models import Article, ArticlePart, Colour, RouteStep
from production.queries.plan_range import CastingRange

GRAM, TENTH = 1000, 100


@dataclass(frozen=True)
class Takes:
    """What one piece takes of a material (thousandths of `unit`); `colour` empty where all take the same."""

    material: str
    amount: int
    unit: str
    colour: str = ""


def takes_of(
    article: Article,
    parts: Sequence[ArticlePart],
    colours: Sequence[Colour],
    casting: CastingRange,
    steps: Iterable[RouteStep],
) -> tuple[Takes, ...]:
    """Powder and water of its casts with overfill, pigments by colour, what its steps take, packaging.

    What stays in the jug is not counted: it is the mix's, however many pieces share it. Powder and water are
    those of the colour that takes most; colours differ by less than a scale shows. No query.

    Source: `arithmetic.mix.mix_weights`, by `CastingRange.slurry`.
    """
    powder = _powder_mg(parts, colours, casting)
    found: list[Takes] = []
    for compound_id, compound in casting.compounds.items():
        mg = max((mg for (made_in, _), mg in powder.items() if made_in == compound_id), default=0.0)
        found.append(Takes(compound.powder.name, _to(GRAM, mg), "g"))
        found.append(Takes("Water", _to(GRAM, mg * compound.water_ratio), "g"))
    for (compound_id, colour_id), mg in powder.items():
        for pigment in casting.pigments.get((compound_id, colour_id), ()):
            amount = _to(TENTH, mg * pigment.loading_percent / 100)
            found.append(Takes(pigment.name, amount, "g", casting.colours[colour_id].name))
    for step in steps:
        for material, amount in (
            (step.material, step.amount_each),
            (step.fragrance, step.fragrance_each),
            (step.wick, step.wicks_each),
        ):
            if material:
                found.append(Takes(material.name, amount, material.unit))
    if article.packaging:
        found.append(Takes(article.packaging.name, article.packaging_each, article.packaging.unit))
    return tuple(one for one in found if one.amount)


def _powder_mg(
    parts: Sequence[ArticlePart], colours: Sequence[Colour], casting: CastingRange
) -> dict[tuple[int, int], float]:
    """Milligrams of powder by compound and colour, in the order of the colours."""
    found: dict[tuple[int, int], float] = {}
    for part in parts:
        for colour_id in [part.own_colour_id] if part.own_colour_id else [one.pk for one in colours]:
            slurry = casting.slurry(part.compound_id, [colour_id])
            mg_per_ul = slurry.slurry_g_per_ml * slurry.powder_share
            key = (part.compound_id, colour_id)
            found[key] = found.get(key, 0.0) + (part.mould.volume_ul or 0) * mg_per_ul
    return found


def _to(step: int, mg: float) -> int:
    return round(mg / step) * step
