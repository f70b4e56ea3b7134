"""The classic sums of a stores keeper where there is no plan: how much to order at a time, and when."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist


@dataclass(frozen=True)
class ReorderPoint:
    """The classic reorder point: `level` and `safety_stock` in the unit of the use given, with factor `z`."""

    z: float
    safety_stock: float
    level: float

    @property
    def order_at(self) -> int:
        """The reorder point in whole units, rounded up."""
        return math.ceil(self.level)


def reorder_point(
    mean_daily: float, sd_daily: float, lead_days: float, service: float = 0.95, lead_sd_days: float = 0.0
) -> ReorderPoint:
    """Give the level at which to order where there is no plan: use over the lead time plus safety stock.

    Parameters: mean and standard deviation of the use per day (any unit, also thousandths); lead time in
    days and its own standard deviation; `service` the wished probability of not running out during the lead
    time, above 0.5 and below 1.

    Source: d L + z sqrt(L s^2 + d^2 sL^2), e.g. Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed.
    2019, ch. 4-5; without a spread of the lead time d L + z s sqrt(L).
    """
    if not 0.5 <= service < 1:
        raise ValueError("service is a probability from 0.5 up to below 1")
    if min(mean_daily, sd_daily, lead_days, lead_sd_days) < 0:
        raise ValueError("use and lead time are zero or more")
    z = NormalDist().inv_cdf(service)
    spread = math.sqrt(lead_days * sd_daily**2 + (mean_daily * lead_sd_days) ** 2)
    return ReorderPoint(z=z, safety_stock=z * spread, level=mean_daily * lead_days + z * spread)


@dataclass(frozen=True)
class OrderQuantity:
    """How much to order at a time, in the unit of the demand given, and what it costs per period of it."""

    quantity: float
    cost: float


def economic_order_quantity(order_cost: float, holding_cost: float, demand: float) -> OrderQuantity:
    """Give the amount at which carriage and keeping together cost least.

    Parameters: `order_cost` of one order whatever its size; `holding_cost` of one unit for one period;
    `demand` units per period. All above zero, money in any one unit.

    Source: Q = sqrt(2 K D / h), cost sqrt(2 K D h); Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd
    ed. 2019, section 3.2.
    """
    if min(order_cost, holding_cost, demand) <= 0:
        raise ValueError("costs and demand are above zero")
    return OrderQuantity(
        quantity=math.sqrt(2 * order_cost * demand / holding_cost),
        cost=math.sqrt(2 * order_cost * demand * holding_cost),
    )
