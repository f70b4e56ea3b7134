"""What goes into a candle vessel: wax, fragrance and wicks of a fill, reckoned from the vessel."""

from __future__ import annotations

from typing import Any, Literal

from inventory.arithmetic.quantities import format_amount
from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.ports import Offer
from inventory.queries.materials import material
from production.arithmetic.wax_fill import wax_fill
from production.errors import LaterActsDepend, NotThere
from production.models import RouteStep

THOUSANDTHS = 1000
WICKS_MOST = 12
SCALE_STEP_MG = 100
"""What a scale for wax and fragrance shows, as that for pigments."""
_KEPT = (
    "material_id",
    "amount_each",
    "fragrance_id",
    "fragrance_each",
    "wick_id",
    "wicks_each",
    "filling",
)


@act("production.set_wax_fill")
def set_wax_fill(
    tap: Tap,
    *,
    step_id: int,
    wax_id: int,
    vessel_ul: int,
    fill_part: float,
    wax_density: float,
    fragrance_id: int | None = None,
    fragrance_percent: float = 0.0,
    convention: Literal["of wax", "of total"] = "of wax",
    limit_percent: float | None = None,
    wick_id: int | None = None,
    wicks: int = 0,
) -> Done:
    """Set what one piece takes in a fill: wax and fragrance by the vessel, wicks by count.

    The masses are rounded to what the scale shows, a fragrance with a limit down.

    Parameters as in `arithmetic.wax_fill`: `vessel_ul` to the brim by a water fill, `wax_density` in g/mL as
    poured, `fragrance_percent` in the `convention` named, `limit_percent` the fragrance's own maximum in the
    same convention.

    Changes: production_routestep.
    Again: the first answer.
    Raises: NotThere when it is no fill; WaxFillRefused, FragranceOverLimit; StudioError for fragrance without
    its percent or the other way round, for wicks without their kind, and for a fragrance kept by volume whose
    density is not known.
    """
    step = _locked(step_id)
    _check(fragrance_id, fragrance_percent, wick_id, wicks)
    fill = wax_fill(
        vessel_ul,
        fill_part,
        wax_density,
        fragrance_percent=fragrance_percent,
        convention=convention,
        fragrance_limit_percent=limit_percent,
    )
    wax_mg = _on_scale(fill.wax_mg)
    fragrance_mg = _on_scale(fill.fragrance_mg, down=limit_percent is not None)
    before = {name: getattr(step, name) for name in _KEPT}
    step.material_id, step.amount_each = wax_id, _amount(wax_id, wax_mg, wax_density)
    step.fragrance_id = fragrance_id
    step.fragrance_each = _amount(fragrance_id, fragrance_mg, None) if fragrance_id else 0
    step.wick_id, step.wicks_each = wick_id, wicks * THOUSANDTHS
    step.filling = {
        "vessel_ul": vessel_ul,
        "fill_part": fill_part,
        "wax_density": wax_density,
        "fragrance_percent": fragrance_percent,
        "convention": convention,
        "limit_percent": limit_percent,
        "percent_of_wax": fill.percent_of_wax,
        "percent_of_total": fill.percent_of_total,
    }
    step.save(update_fields=_columns())
    said = f"{step}: {format_amount(wax_mg, 'g')} of wax"
    if fragrance_id:
        said += (
            f", {format_amount(fragrance_mg, 'g')} of fragrance"
            f" ({fill.percent_of_wax:.3g} % of the wax, {fill.percent_of_total:.3g} % of all)"
        )
    if wicks:
        said += f", {wicks} {'wick' if wicks == 1 else 'wicks'}"
    facts = {"step_id": step.pk, "before": before, "after": {name: getattr(step, name) for name in _KEPT}}
    return Done(f"{said} for one piece. Plan again to take it in.", facts)


@act("production.undo_set_wax_fill", undoes="act_id")
def undo_set_wax_fill(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Put what the fill took before back.

    Raises: NothingToUndo; LaterActsDepend when it was changed again since.
    """
    answer = act_to_undo(act_id, "production.set_wax_fill").answer
    step = _locked(answer["step_id"])
    if {name: getattr(step, name) for name in _KEPT} != answer["after"]:
        raise LaterActsDepend(f"{step} was changed again since. Undo that first.")
    for name, value in answer["before"].items():
        setattr(step, name, value)
    step.save(update_fields=_columns())
    return Done(f"{step} takes what it took before.", {})


def _columns() -> list[str]:
    return [name.removesuffix("_id") for name in _KEPT]


def _locked(step_id: int) -> RouteStep:
    found = (
        RouteStep.objects.select_for_update(no_key=True, of=("self",))
        .select_related("route")
        .filter(pk=step_id, kind=RouteStep.Kind.FILL)
        .first()
    )
    if found is None:
        raise NotThere("There is no such fill. Open the page again.", step_id=step_id)
    return found


def _check(fragrance_id: int | None, percent: float, wick_id: int | None, wicks: int) -> None:
    faults: tuple[tuple[bool, str, str], ...] = (
        (bool(fragrance_id) and not percent, "How much fragrance? Type its percent.", "fragrance_percent"),
        (bool(percent) and not fragrance_id, "Which fragrance? Choose it, or type 0.", "fragrance"),
        (bool(wick_id) and not wicks, "How many wicks go into one piece?", "wicks"),
        (bool(wicks) and not wick_id, "Which wick? Choose it, or type 0.", "wick"),
        (not 0 <= wicks <= WICKS_MOST, f"{wicks} wicks cannot be meant. Type 0 to {WICKS_MOST}.", "wicks"),
    )
    for is_wrong, sentence, field in faults:
        if is_wrong:
            raise StudioError(sentence, field=field)


def _on_scale(mass_mg: int, *, down: bool = False) -> int:
    """A mass as the scale shows it; `down` where more than it is not allowed. Below a step it stays exact."""
    steps = mass_mg // SCALE_STEP_MG if down else round(mass_mg / SCALE_STEP_MG)
    return steps * SCALE_STEP_MG or mass_mg


def _amount(material_id: int, mass_mg: int, density: float | None) -> int:
    """A mass as thousandths of the unit its material is kept in."""
    kept: Any = material(material_id)
    if kept.unit == "g":
        return mass_mg
    density = density or kept.density_g_per_ml
    if kept.unit != "ml" or not density:
        raise StudioError(
            f"{kept.name} is kept in {kept.unit} and its density is not known. Note it with the material.",
            field="fragrance",
        )
    return round(mass_mg / density)
