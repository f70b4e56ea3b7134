"""What can be cast at all, as the planner wants it: articles, compounds and moulds with their figures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from inventory.queries.choosing import tub_to_weigh_from
from production.arithmetic.mix import (
    CastFacts,
    ColourFacts,
    CompoundFacts,
    MixWeights,
    PigmentFacts,
    mix_weights,
)
from production.arithmetic.mix_walls import MixRefused
from production.models import Article, ArticlePart, Colour, ColourPigment, Compound
from production.queries.copies import CopyNow, copies_of
from production.queries.mix_weights import compound_facts

# A mix so large that the scale's step does not show in its ratios.
LARGE_UL = 1_000_000_000
# The rounding of powder, water and pigment to the scale can make a mix this much heavier than reckoned.
ROUNDING_G = 2.5


@dataclass(frozen=True)
class Slurry:
    """What one millilitre of cast takes of a compound in its heaviest colour, losses included.

    `slurry_g_per_ml` counts overfill and what stays in the sieve; `residue_g` what stays in the jug.
    """

    slurry_g_per_ml: float
    powder_share: float
    residue_g: float


PLACEHOLDER = Slurry(1.0, 0.5, 0.0)
"""For a compound that nothing can be poured in, but whose casts are in moulds now."""


class CastingRange:
    """Articles with their parts, moulds, colours and pigments, read in a fixed number of queries.

    Seven queries, and two for each powder in use.
    """

    def __init__(self, article_ids: Iterable[int], colour_ids: Iterable[int], *, now: datetime) -> None:
        self.now = now
        articles = Article.objects.filter(pk__in=set(article_ids)).select_related("route")
        parts = ArticlePart.objects.select_related("mould", "compound__powder", "own_colour").order_by("id")
        self.articles: dict[int, Article] = {article.pk: article for article in articles}
        self.parts: dict[int, list[ArticlePart]] = {pk: [] for pk in self.articles}
        for part in parts.filter(article__in=self.articles):
            self.parts[part.article_id].append(part)
        used = [part for found in self.parts.values() for part in found]
        self.copies: Mapping[int, tuple[CopyNow, ...]] = copies_of({p.mould_id for p in used}, now=now)
        self.compounds: dict[int, Compound] = {part.compound_id: part.compound for part in used}
        self.colours = Colour.objects.in_bulk(set(colour_ids) | {p.own_colour_id for p in used} - {None})
        self.pigments = _pigments(self.compounds, self.colours)
        powders = {compound.powder_id for compound in self.compounds.values()}
        tubs = {powder: tub_to_weigh_from(powder, now=now) for powder in powders}
        self.sieve = {powder: bool(tub and tub.sieve) for powder, tub in tubs.items()}

    def why_not(self, article_id: int, colour_id: int) -> str:
        """Why no piece of an article can be poured in a colour, as a sentence; "" when it can."""
        article, parts = self.articles[article_id], self.parts[article_id]
        if not parts:
            return f"{article} has no parts yet. Say which moulds it is cast in."
        for part in parts:
            if part.mould.retired_on is not None:
                return f"The mould {part.mould} is retired. Take it up again, or cast {part.name} in another."
            if part.mould.volume_ul is None:
                return f"{part.mould} was never measured. Fill it with water on the scale first."
            if not self.copies_that_count(part.mould_id):
                return f"No copy of the mould {part.mould} is here. Add one, or bring a lent one back."
        jugs = {(part.compound_id, part.own_colour_id or colour_id) for part in parts}
        if article.is_matched and len(jugs) > 1:
            return f"The parts of {article} should come from one mix but differ in compound or colour."
        try:
            for poured in [parts] if article.is_matched else [[part] for part in parts]:
                self._one_piece(poured, colour_id)
        except MixRefused as fault:
            return fault.message
        return ""

    def copies_that_count(self, mould_id: int) -> list[CopyNow]:
        """The copies of a mould that are here and in use."""
        return [copy for copy in self.copies.get(mould_id, ()) if not (copy.is_lent or copy.is_retired)]

    def slurry(self, compound_id: int, colour_ids: Iterable[int]) -> Slurry:
        """What a millilitre of cast takes of a compound, by the colour of these that takes most.

        Source: `arithmetic.mix.mix_weights`, on a mix so large that no rounding shows.
        """
        facts = replace(self.facts(compound_id), jug_capacity_mg=None, stir_minutes=0.0, residue_ul=0)
        found = []
        for colour_id in sorted(set(colour_ids)):
            try:
                made = self._weights([CastFacts("cast", LARGE_UL, 1)], facts, compound_id, colour_id)
            except MixRefused:
                continue
            g_per_ml = made.total_mg / made.volume_ul
            overfill = 1 + facts.overfill_percent / 100
            residue_g = self.facts(compound_id).residue_ul / 1000 * g_per_ml
            found.append(Slurry(g_per_ml * overfill, made.powder_mg / made.total_mg, residue_g))
        if not found:
            return PLACEHOLDER
        return Slurry(
            max(slurry.slurry_g_per_ml for slurry in found),
            max(slurry.powder_share for slurry in found),
            max(slurry.residue_g for slurry in found),
        )

    def facts(self, compound_id: int) -> CompoundFacts:
        """A compound for the arithmetic."""
        return compound_facts(self.compounds[compound_id])

    def _one_piece(self, parts: list[ArticlePart], colour_id: int) -> None:
        """Try the mix for one piece alone; it refuses as the arithmetic does."""
        casts = [
            CastFacts(part.mould.name, part.mould.volume_ul or 0, 1, part.mould.fill_minutes)
            for part in parts
        ]
        compound_id = parts[0].compound_id
        self._weights(casts, self.facts(compound_id), compound_id, parts[0].own_colour_id or colour_id)

    def _weights(
        self, casts: list[CastFacts], facts: CompoundFacts, compound_id: int, colour_id: int
    ) -> MixWeights:
        pigments = self.pigments.get((compound_id, colour_id))
        sieve = self.sieve[self.compounds[compound_id].powder_id]
        return mix_weights(casts, facts, ColourFacts(str(self.colours[colour_id]), pigments), sieve=sieve)


def _pigments(
    compounds: Iterable[int], colours: Iterable[int]
) -> dict[tuple[int, int], tuple[PigmentFacts, ...]]:
    """Pigments by compound and colour; a pair that was never worked out is left out. One query."""
    rows = ColourPigment.objects.filter(compound__in=list(compounds), colour__in=list(colours))
    found: dict[tuple[int, int], list[PigmentFacts]] = {}
    for row in rows.select_related("pigment"):
        facts = PigmentFacts(row.pigment.name, row.load * 100, row.pigment.density_g_per_ml)
        found.setdefault((row.compound_id, row.colour_id), []).append(facts)
    return {key: tuple(pigments) for key, pigments in found.items()}
