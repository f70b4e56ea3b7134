"""What can go into one mix together: compounds, each with its colours and the parts cast in it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from production.models import ArticlePart, Colour, ColourPigment, Compound
from production.queries.copies import copies_of
from production.queries.offered import ColourOffered


@dataclass(frozen=True)
class PartOffered:
    """A part with its mould: `volume_ul` None when it was never measured, `free` of the copies `here`."""

    part_id: int
    article: str
    part: str
    mould: str
    silhouette: str
    volume_ul: int | None
    here: int
    free: int


@dataclass(frozen=True)
class CompoundOffered:
    """A compound that parts are cast in, with the colours these are made in or that have a recipe in it."""

    id: int
    name: str
    colours: tuple[ColourOffered, ...]
    parts: tuple[PartOffered, ...]


def compounds_offered(*, now: datetime) -> tuple[CompoundOffered, ...]:
    """The compounds of the articles in use, by name. Six queries.

    A part with a colour of its own is left out: which piece it is for cannot be told from the mix's colour.
    """
    rows = list(
        ArticlePart.objects.filter(article__retired_on__isnull=True, own_colour__isnull=True)
        .select_related("article", "mould")
        .prefetch_related("article__colours")
        .order_by("article__name", "id")
    )
    copies = copies_of({row.mould_id for row in rows}, now=now)
    parts: dict[int, list[PartOffered]] = defaultdict(list)
    wanted: dict[int, set[int]] = defaultdict(set)
    for row in rows:
        here = [copy for copy in copies.get(row.mould_id, ()) if not (copy.is_lent or copy.is_retired)]
        parts[row.compound_id].append(
            PartOffered(
                part_id=row.pk,
                article=row.article.name,
                part=row.name,
                mould=row.mould.name,
                silhouette=row.mould.silhouette,
                volume_ul=row.mould.volume_ul,
                here=len(here),
                free=sum(copy.is_free for copy in here),
            )
        )
        wanted[row.compound_id] |= {colour.pk for colour in row.article.colours.all()}
    for compound_id, colour_id in ColourPigment.objects.values_list("compound", "colour").distinct():
        wanted[compound_id].add(colour_id)
    colours = list(Colour.objects.order_by("name"))
    return tuple(
        CompoundOffered(
            id=compound.pk,
            name=compound.name,
            colours=tuple(
                ColourOffered(one.pk, one.name, one.hex) for one in colours if one.pk in wanted[compound.pk]
            ),
            parts=tuple(parts[compound.pk]),
        )
        for compound in Compound.objects.filter(pk__in=parts).order_by("name")
    )
