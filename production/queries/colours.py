"""A colour with its recipes, swatches, tints and mixes; and one mix with the ratios really weighed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from production.arithmetic.colour_difference import ciede2000, difference_words, drawn_as
from production.errors import NotThere
from production.models import Cast, Colour, ColourPigment, Compound, Mix, MixDraw, MixSwatch, RecipeSwatch
from production.models.swatches import Swatch

MIXES_SHOWN = 12


@dataclass(frozen=True)
class PigmentLine:
    """One pigment: `per_100_g` of powder, in g; `wanted_per_100_g` by the recipe, None where it has none.

    `amount_mg` went into the jug.
    """

    name: str
    per_100_g: float
    wanted_per_100_g: float | None = None
    amount_mg: int = 0

    @property
    def weighed_words(self) -> str:
        """Grams for 100 g of powder, without needless noughts."""
        return f"{self.per_100_g:.3g}"

    @property
    def wanted_words(self) -> str:
        """The same of the recipe, "" where it has none."""
        return "" if self.wanted_per_100_g is None else f"{self.wanted_per_100_g:.3g} g"


@dataclass(frozen=True)
class Distance:
    """How far a mix is from its recipe's swatch: dE00, and what that means to an eye."""

    figure: float
    words: str


@dataclass(frozen=True)
class SwatchShown:
    """A swatch with the colour it is drawn in, "" when only a photo is there."""

    swatch: Swatch
    hex: str


@dataclass(frozen=True)
class MixRow:
    """A mix of a colour, with its distance from the recipe's swatch where both were measured."""

    mix: Mix
    shown: SwatchShown | None
    distance: Distance | None


@dataclass(frozen=True)
class Recipe:
    """A colour in one compound: grams for 100 g of powder, all together against the compound's limit."""

    compound: Compound
    pigments: tuple[PigmentLine, ...]
    total_per_100_g: float
    most_per_100_g: float
    shown: SwatchShown | None
    mixes: tuple[MixRow, ...]


@dataclass(frozen=True)
class TintRow:
    """A tint with its recipes' lines; `off` when its recipe is not its parent's at that strength any more."""

    colour: Colour
    lines: tuple[str, ...]
    off: bool


@dataclass(frozen=True)
class ColourPage:
    """Everything on the page of one colour. `lines` are its own recipes, beside its tints'."""

    colour: Colour
    recipes: tuple[Recipe, ...]
    lines: tuple[str, ...]
    tints: tuple[TintRow, ...]


@dataclass(frozen=True)
class MixPage:
    """One mix as it was weighed. Water in percent of the powder that went in, and as its compound has it."""

    mix: Mix
    water_percent: float
    wanted_water_percent: float
    pigments: tuple[PigmentLine, ...]
    casts: tuple[Cast, ...]
    shown: SwatchShown | None
    recipe_shown: SwatchShown | None
    distance: Distance | None


def colour_page(colour_id: int) -> ColourPage:
    """One colour. Five queries.

    Raises: NotThere.
    """
    colour = Colour.objects.select_related("tint_of").filter(pk=colour_id).first()
    if colour is None:
        raise NotThere("There is no such colour. Open the Range again.", colour_id=colour_id)
    tints = list(colour.tints.order_by("-strength", "name"))
    rows = list(
        ColourPigment.objects.filter(colour__in=[colour, *tints])
        .select_related("compound", "pigment")
        .order_by("compound__name", "-load", "id")
    )
    loads: dict[int, list[ColourPigment]] = defaultdict(list)
    for row in rows:
        loads[row.colour_id].append(row)
    swatches = {
        row.compound_id: row
        for row in RecipeSwatch.objects.filter(colour=colour).select_related("photo", "compound")
    }
    mixes: dict[int, list[MixRow]] = defaultdict(list)
    for mix in _last_mixes(colour_id):
        if len(mixes[mix.compound_id]) < MIXES_SHOWN:
            mixes[mix.compound_id].append(_mix_row(mix, swatches.get(mix.compound_id)))
    return ColourPage(
        colour=colour,
        recipes=tuple(
            _recipe(compound, [row for row in loads[colour.pk] if row.compound == compound], swatches, mixes)
            for compound in dict.fromkeys(row.compound for row in loads[colour.pk])
        ),
        lines=_lines(loads[colour.pk]),
        tints=tuple(
            TintRow(tint, _lines(loads[tint.pk]), _is_off(tint, loads[tint.pk], loads[colour.pk]))
            for tint in tints
        ),
    )


def mix_page(number: int) -> MixPage:
    """One mix by its number. Five queries.

    Raises: NotThere.
    """
    mix = (
        Mix.objects.select_related("compound__powder", "colour", "swatch__photo")
        .filter(number=number, undone_at__isnull=True)
        .first()
    )
    if mix is None:
        raise NotThere(f"There is no mix {number}. Look for it in Trace.", number=number)
    swatch = getattr(mix, "swatch", None)
    wanted = (
        RecipeSwatch.objects.filter(colour=mix.colour_id, compound=mix.compound_id)
        .select_related("photo")
        .first()
    )
    casts = mix.casts.select_related("part__article", "mould_copy__mould").order_by("position")
    return MixPage(
        mix=mix,
        water_percent=100 * mix.water_mg / mix.powder_mg,
        wanted_water_percent=100 * mix.compound.water_ratio,
        pigments=_weighed(mix),
        casts=tuple(casts),
        shown=_shown(swatch),
        recipe_shown=_shown(wanted),
        distance=_distance(swatch, wanted),
    )


def _last_mixes(colour_id: int) -> Sequence[Mix]:
    rows = Mix.objects.filter(colour=colour_id, undone_at__isnull=True).select_related("swatch__photo")
    return list(rows.order_by("-number")[: MIXES_SHOWN * 4])


def _recipe(
    compound: Compound,
    rows: Sequence[ColourPigment],
    swatches: dict[int, RecipeSwatch],
    mixes: dict[int, list[MixRow]],
) -> Recipe:
    return Recipe(
        compound=compound,
        pigments=tuple(PigmentLine(row.pigment.name, row.load * 100) for row in rows),
        total_per_100_g=sum(row.load for row in rows) * 100,
        most_per_100_g=compound.pigment_load_most * 100,
        shown=_shown(swatches.get(compound.pk)),
        mixes=tuple(mixes[compound.pk]),
    )


def _lines(rows: Sequence[ColourPigment]) -> tuple[str, ...]:
    by_compound: dict[str, list[str]] = defaultdict(list)
    for row in rows:
        by_compound[row.compound.name].append(f"{row.pigment.name} {row.load * 100:.3g} g")
    return tuple(f"{name}: {', '.join(of)}" for name, of in by_compound.items())


def _is_off(tint: Colour, rows: Sequence[ColourPigment], parents: Sequence[ColourPigment]) -> bool:
    strength = tint.strength or 0.0
    wanted = {(row.compound_id, row.pigment_id): row.load * strength for row in parents}
    found = {(row.compound_id, row.pigment_id): row.load for row in rows}
    return wanted.keys() != found.keys() or any(
        abs(found[key] - load) > 0.005 * load for key, load in wanted.items()
    )


def _weighed(mix: Mix) -> tuple[PigmentLine, ...]:
    """What was drawn for the mix beside its powder, and what the recipe of today has of it."""
    recipe = {
        row.pigment_id: row
        for row in ColourPigment.objects.filter(
            colour=mix.colour_id, compound=mix.compound_id
        ).select_related("pigment")
    }
    drawn: dict[int, int] = defaultdict(int)
    names = {key: row.pigment.name for key, row in recipe.items()}
    draws = MixDraw.objects.filter(mix=mix).exclude(material=mix.compound.powder_id)
    for draw in draws.select_related("material"):
        drawn[draw.material_id] += draw.amount
        names[draw.material_id] = draw.material.name
    return tuple(
        PigmentLine(
            names[key],
            drawn[key] / mix.powder_mg * 100,
            recipe[key].load * 100 if key in recipe else None,
            drawn[key],
        )
        for key in sorted({*recipe, *drawn}, key=lambda key: (-drawn[key], names[key]))
    )


def _mix_row(mix: Mix, wanted: RecipeSwatch | None) -> MixRow:
    swatch: MixSwatch | None = getattr(mix, "swatch", None)
    return MixRow(mix, _shown(swatch), _distance(swatch, wanted))


def _shown(swatch: Swatch | None) -> SwatchShown | None:
    if swatch is None:
        return None
    return SwatchShown(swatch, drawn_as(swatch.lab) if swatch.lab else "")


def _distance(swatch: MixSwatch | None, wanted: RecipeSwatch | None) -> Distance | None:
    if swatch is None or wanted is None or swatch.lab is None or wanted.lab is None:
        return None
    figure = ciede2000(wanted.lab, swatch.lab)
    return Distance(figure, difference_words(figure))
