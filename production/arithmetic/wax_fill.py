"""How much wax and fragrance goes into a cast vessel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from inventory.errors import StudioError

Convention = Literal["of wax", "of total"]


class WaxFillRefused(StudioError):
    """The fill cannot be made as asked; facts `name`, `value`."""


class FragranceOverLimit(WaxFillRefused):
    """More fragrance than its maker allows; facts `fragrance_percent`, `limit_percent`, `convention`."""


@dataclass(frozen=True)
class WaxFill:
    """What to weigh for one vessel, in mg; the two masses add up to `total_mg` exactly.

    `percent_of_wax` and `percent_of_total` say the same load in both conventions: print the one that was
    chosen, and `percent_of_total` where a hazard limit is looked up.
    """

    total_mg: int
    wax_mg: int
    fragrance_mg: int
    convention: Convention
    percent_of_wax: float
    percent_of_total: float


def percent_of_total(percent_of_wax: float) -> float:
    """Turn fragrance in percent of the wax into percent of wax and fragrance together: p / (1 + p)."""
    return 100 * percent_of_wax / (100 + percent_of_wax)


def percent_of_wax(percent_of_total: float) -> float:
    """Turn fragrance in percent of wax and fragrance together into percent of the wax: p / (1 - p)."""
    return 100 * percent_of_total / (100 - percent_of_total)


def split_fill(total_mg: int, fragrance_percent: float, convention: Convention) -> WaxFill:
    """Part a fill of known mass into wax and fragrance.

    Parameters: `total_mg` of wax and fragrance together; `fragrance_percent` 0 or more, in the convention
    named.

    Raises: WaxFillRefused.

    Source: candle suppliers' two published conventions: oil = F p / (1 + p) of the wax, F p of the total.
    """
    most = 100.0 if convention == "of total" else math.inf
    if not math.isfinite(fragrance_percent) or not 0 <= fragrance_percent < most:
        raise WaxFillRefused(
            f"{fragrance_percent:g} % fragrance {convention} cannot be. Type 0 or more.",
            name="fragrance",
            value=fragrance_percent,
        )
    of_total = fragrance_percent if convention == "of total" else percent_of_total(fragrance_percent)
    fragrance_mg = round(total_mg * of_total / 100)
    return WaxFill(
        total_mg=total_mg,
        wax_mg=total_mg - fragrance_mg,
        fragrance_mg=fragrance_mg,
        convention=convention,
        percent_of_wax=percent_of_wax(of_total),
        percent_of_total=of_total,
    )


def wax_fill(
    vessel_volume_ul: int,
    fill_part: float,
    wax_density_g_per_ml: float,
    *,
    fragrance_percent: float = 0.0,
    convention: Convention = "of wax",
    fragrance_limit_percent: float | None = None,
    limit_convention: Convention | None = None,
) -> WaxFill:
    """Give the wax and fragrance for one vessel.

    Parameters: `vessel_volume_ul` by a water fill to the brim; `fill_part` of it to fill, above 0 up to 1;
    `wax_density_g_per_ml` of the molten wax as poured; `fragrance_limit_percent` the fragrance's own maximum,
    in `limit_convention` (that of the percent, when not given). The fragrance is taken to have the wax's
    density.

    Raises: WaxFillRefused, FragranceOverLimit.

    Source: mass = volume x density of the liquid; conventions as in `split_fill`.
    """
    _check("The vessel's volume", vessel_volume_ul, math.inf)
    _check("The part to fill", fill_part, 1.0)
    # Waxes are lighter than water; a density above it is a figure in other units.
    _check("The wax's density", wax_density_g_per_ml, 1.1)
    fill = split_fill(
        round(vessel_volume_ul * fill_part * wax_density_g_per_ml), fragrance_percent, convention
    )
    if fragrance_limit_percent is not None:
        limited_by = limit_convention or convention
        load = fill.percent_of_total if limited_by == "of total" else fill.percent_of_wax
        # A load at its very limit may come out a hair above it when turned from one convention to the other.
        if load > fragrance_limit_percent * (1 + 1e-9):
            raise FragranceOverLimit(
                f"{load:.3g} % fragrance {limited_by} is more than the {fragrance_limit_percent:.3g} %"
                " its maker allows. Use less.",
                fragrance_percent=load,
                limit_percent=fragrance_limit_percent,
                convention=limited_by,
            )
    return fill


def _check(name: str, value: float, most: float) -> None:
    if not math.isfinite(value) or not 0 < value <= most:
        upper = "" if most == math.inf else f" and at most {most:g}"
        raise WaxFillRefused(f"{name} is {value:g}. Type a number above zero{upper}.", name=name, value=value)
