"""What a mix is asked to hold: from the plan, from what ran short, or as typed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from production.errors import AlreadyDone, MixNotMadeUp, NotThere
from production.models import ArticlePart, Colour, ColourPigment, Compound, Mix, MixDraw, PlannedMix
from production.queries.wording import clock


@dataclass(frozen=True)
class PigmentAsked:
    """One pigment of the mix: `load` mass per mass of powder."""

    material_id: int
    name: str
    load: float
    density_g_per_ml: float | None


@dataclass(frozen=True)
class CastAsked:
    """Casts of one part for one demand. `entry` names it on the page, so that one can be left out."""

    entry: int
    part_id: int
    part: str
    article: str
    mould_id: int
    mould: str
    silhouette: str
    volume_ul: int | None
    fill_minutes: int
    quantity: int
    wanted_by: str
    piece_colour_id: int


@dataclass(frozen=True)
class MixAsked:
    """One mix to make up. `pigments` is None when the colour was never worked out in the compound.

    `tops_up` is the mix whose recorded ratios it repeats; `water_adjust_percent` is then what that mix had
    against the compound's ratio of today.
    """

    compound: Compound
    colour: Colour
    casts: tuple[CastAsked, ...]
    pigments: tuple[PigmentAsked, ...] | None
    planned: PlannedMix | None = None
    tops_up: Mix | None = None
    water_adjust_percent: float = 0.0

    def without(self, entries: Sequence[int]) -> MixAsked:
        """The same mix with one cast less for each time an entry is named."""
        less = Counter(entries)
        casts = [replace(cast, quantity=max(0, cast.quantity - less[cast.entry])) for cast in self.casts]
        return replace(self, casts=tuple(cast for cast in casts if cast.quantity))


def asked_by_plan(planned_mix_id: int) -> MixAsked:
    """The planned mix, its casts in the order of filling. Three queries.

    Raises: NotThere; AlreadyDone when it was started.
    """
    planned = (
        PlannedMix.objects.select_related("compound__powder", "colour", "mix")
        .filter(pk=planned_mix_id)
        .first()
    )
    if planned is None:
        raise NotThere(
            "This mix is no longer in the plan. Open the Bench again.", planned_mix_id=planned_mix_id
        )
    started = getattr(planned, "mix", None)
    if started is not None:
        raise AlreadyDone(
            f"Mix {started.number} was started {clock(started.started_at)}.", at=started.started_at
        )
    rows = planned.casts.select_related("part__article", "part__mould", "line").order_by("position", "id")
    casts = tuple(
        _cast(row.pk, row.part, row.quantity, row.line.wanted_by, row.line.colour_id) for row in rows
    )
    return MixAsked(
        compound=planned.compound,
        colour=planned.colour,
        casts=casts,
        pigments=_pigments(planned.compound_id, planned.colour_id),
        planned=planned,
    )


def asked_to_top_up(mix_id: int) -> MixAsked:
    """What a mix left out, once more, with the ratios that were recorded then. Four queries.

    Raises: NotThere when there is no such mix or it left nothing out.
    """
    mix = Mix.objects.select_related("compound__powder", "colour").filter(pk=mix_id, undone_at=None).first()
    if mix is None:
        raise NotThere("There is no such mix. Open the Bench again.", mix_id=mix_id)
    rows = mix.casts.filter(left_out_at__isnull=False).select_related("part__article", "part__mould")
    casts = tuple(_cast(row.pk, row.part, 1, row.wanted_by, row.piece_colour_id) for row in rows)
    if not casts:
        raise NotThere(f"Mix {mix.number} left no mould out.", mix_id=mix_id)
    drawn = (
        MixDraw.objects.filter(mix=mix).exclude(material=mix.compound.powder_id).select_related("material")
    )
    amounts: dict[int, int] = Counter()
    materials = {}
    for draw in drawn:
        amounts[draw.material_id] += draw.amount
        materials[draw.material_id] = draw.material
    pigments = tuple(
        PigmentAsked(key, materials[key].name, amount / mix.powder_mg, materials[key].density_g_per_ml)
        for key, amount in amounts.items()
    )
    return MixAsked(
        compound=mix.compound,
        colour=mix.colour,
        casts=casts,
        pigments=pigments,
        tops_up=mix,
        water_adjust_percent=100 * (mix.water_mg / mix.powder_mg / mix.compound.water_ratio - 1),
    )


def asked_as_typed(compound_id: int, colour_id: int, casts: Sequence[Mapping[str, object]]) -> MixAsked:
    """A mix that no plan asks for: casts as {part_id, quantity, wanted_by, piece_colour_id}. Four queries.

    `piece_colour_id` may be left out where it is the mix's colour.
    Raises: NotThere; MixNotMadeUp when a part is cast in another compound.
    """
    compound = Compound.objects.select_related("powder").filter(pk=compound_id).first()
    colour = Colour.objects.filter(pk=colour_id).first()
    parts = ArticlePart.objects.select_related("article", "mould").in_bulk(
        [cast["part_id"] for cast in casts]
    )
    if compound is None or colour is None or len(parts) < len({cast["part_id"] for cast in casts}):
        raise NotThere("That compound, colour or part is not in the range any more. Choose again.")
    for part in parts.values():
        if part.compound_id != compound.pk:
            raise MixNotMadeUp(f"{part.article}: {part.name} is not cast in {compound}.", part=part.pk)
    return MixAsked(
        compound=compound,
        colour=colour,
        casts=tuple(
            _cast(
                entry,
                parts[cast["part_id"]],
                int(str(cast["quantity"])),
                str(cast.get("wanted_by", "")),
                int(str(cast.get("piece_colour_id") or colour_id)),
            )
            for entry, cast in enumerate(casts, start=1)
        ),
        pigments=_pigments(compound.pk, colour.pk),
    )


def asked_for_pieces(article_id: int, colour_id: int, pieces: int) -> tuple[MixAsked, ...]:
    """The mixes that so many pieces take, one for each compound and colour of their parts.

    Raises: NotThere.
    """
    rows = ArticlePart.objects.filter(article=article_id).order_by("id")
    groups: dict[tuple[int, int], list[dict[str, object]]] = {}
    for part in rows:
        cast: dict[str, object] = {"part_id": part.pk, "quantity": pieces, "piece_colour_id": colour_id}
        groups.setdefault((part.compound_id, part.own_colour_id or colour_id), []).append(cast)
    if not groups:
        raise NotThere("That article has no moulds yet. Give it its parts in the Range.", article=article_id)
    return tuple(asked_as_typed(compound, colour, casts) for (compound, colour), casts in groups.items())


def _cast(entry: int, part: ArticlePart, quantity: int, wanted_by: str, colour_id: int) -> CastAsked:
    return CastAsked(
        entry=entry,
        part_id=part.pk,
        part=part.name,
        article=part.article.name,
        mould_id=part.mould_id,
        mould=part.mould.name,
        silhouette=part.mould.silhouette,
        volume_ul=part.mould.volume_ul,
        fill_minutes=part.mould.fill_minutes,
        quantity=quantity,
        wanted_by=wanted_by,
        piece_colour_id=colour_id,
    )


def _pigments(compound_id: int, colour_id: int) -> tuple[PigmentAsked, ...] | None:
    """The colour's pigments in this compound; None when it has none of its own there. One query.

    A load of nothing is a recipe too: the bare powder, with nothing to weigh for it.
    """
    rows = ColourPigment.objects.filter(compound=compound_id, colour=colour_id).select_related("pigment")
    pigments = tuple(
        PigmentAsked(row.pigment_id, row.pigment.name, row.load, row.pigment.density_g_per_ml)
        for row in rows
        if row.load
    )
    return pigments if rows else None
