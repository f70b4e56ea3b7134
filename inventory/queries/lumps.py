"""What the sieve kept, tub by tub: whether the big tub is really cheaper."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date, datetime

from inventory.arithmetic.lumps import Opening, TubSize, Verdict, is_the_big_tub_cheaper
from inventory.models import Act, Container, Entry, Material, Place, SupplierPack
from inventory.queries.use import happened_between, midnight


@dataclass(frozen=True)
class MaterialLumps:
    """One material: every opening of its bulk tubs, what each size costs, and the verdict if there is one."""

    material_id: int
    material: str
    unit: str
    openings: tuple[Opening, ...]
    sizes: tuple[TubSize, ...]
    verdict: Verdict | None


def lumps_since(day: date) -> list[MaterialLumps]:
    """Materials that were decanted since `day`, the most lost first. Seven queries.

    Read from the decants that still stand; sizes that only a supplier's price is known of are compared too.
    """
    tubs = Container.objects.filter(role=Container.Role.BULK).select_related("material").in_bulk()
    openings: dict[int, list[Opening]] = defaultdict(list)
    for opening, tub in _openings(day, tubs):
        openings[tub.material_id].append(opening)
    prices = _bought(day, tubs)
    for material_id, amount, price_minor in SupplierPack.objects.filter(
        material__in=list(openings), price_minor__gt=0
    ).values_list("material_id", "amount", "price_minor"):
        # What was paid counts before what is asked.
        prices[material_id].setdefault(amount, (amount, price_minor))
    materials = Material.objects.in_bulk(list(openings))
    found = [_material(materials[key], openings[key], prices[key]) for key in openings]
    return sorted(found, key=lambda row: (-sum(one.lumps for one in row.openings), row.material))


def _openings(day: date, tubs: dict[int, Container]) -> list[tuple[Opening, Container]]:
    """Every decant since the day, from the answer that its act keeps. One query."""
    acts = Act.objects.filter(
        recorded_at__gte=midnight(day), name="inventory.decant", undone_by__isnull=True
    ).order_by("recorded_at", "pk")
    found = []
    for happened_at, answer in acts.values_list("happened_at", "answer").iterator():
        tub = tubs.get(answer["source_id"])
        if tub is None:
            continue
        after = answer["tubs"][str(tub.pk)]["after"]
        opened_at = datetime.fromisoformat(after["opened_at"]) if after["opened_at"] else happened_at
        opening = Opening(
            tub=tub.code,
            capacity=tub.capacity,
            age_days=max(0, (happened_at - opened_at).days),
            number=after["openings_count"],
            out=answer["out"],
            lumps=answer["lumps"],
        )
        found.append((opening, tub))
    return found


def _bought(day: date, tubs: dict[int, Container]) -> dict[int, dict[int, tuple[int, int]]]:
    """What came into bulk tubs and what was paid, by material and the tub's size. Three queries."""
    at = {tub.place_id: tub for tub in tubs.values()}
    # By number, so that the database goes straight to what came from suppliers.
    suppliers = list(Place.objects.filter(kind=Place.Kind.SUPPLIER).values_list("pk", flat=True))
    rows = Entry.objects.filter(
        happened_between(day),
        source__in=suppliers,
        posting__reversed_by__isnull=True,
        lot__price_minor__gt=0,
    ).values_list("destination_id", "amount", "lot__price_minor", "lot__amount")
    amounts: dict[int, Counter[int]] = defaultdict(Counter)
    paid: dict[int, Counter[int]] = defaultdict(Counter)
    for place_id, amount, price_minor, whole in rows.order_by():
        if place_id in at:
            tub = at[place_id]
            amounts[tub.material_id][tub.capacity] += amount
            paid[tub.material_id][tub.capacity] += price_minor * amount // whole
    return defaultdict(
        dict,
        {
            material_id: {size: (amount, paid[material_id][size]) for size, amount in sizes.items()}
            for material_id, sizes in amounts.items()
        },
    )


def _material(
    material: Material, openings: list[Opening], prices: dict[int, tuple[int, int]]
) -> MaterialLumps:
    out: Counter[int] = Counter()
    lumps: Counter[int] = Counter()
    for one in openings:
        out[one.capacity] += one.out
        lumps[one.capacity] += one.lumps
    sizes = tuple(
        TubSize(size, *prices.get(size, (0, 0)), out=out[size], lumps=lumps[size])
        for size in sorted({*prices, *out}, reverse=True)
    )
    return MaterialLumps(
        material_id=material.pk,
        material=material.name,
        unit=material.unit,
        openings=tuple(openings),
        sizes=sizes,
        verdict=is_the_big_tub_cheaper(sizes),
    )
