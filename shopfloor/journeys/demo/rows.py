"""Samphire Lane, an invented two-person studio beside an estuary: what it owns and makes.

Plain rows for Django's own deserialiser; invented figures throughout. What has a history (deliveries, orders,
mixes) is not here: `living.py` lets it happen through the operations.
"""
# ruff: noqa: E501

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

Row = dict[str, Any]
KILO = 1_000_000  # mg
LITRE = 1_000_000  # uL


def _rows(model: str, *fields: Row) -> list[Row]:
    return [{"model": model, "pk": number, "fields": row} for number, row in enumerate(fields, start=1)]


def _studio() -> list[Row]:
    settings = {
        "name": "Samphire Lane",
        "address": "3 Invented Row\nNowhere-on-Mud",
        "contact": "hello@samphirelane.example",
        "currency": "GBP",
        "hour_rate_minor": 1600,
    }
    hours = [
        {"weekday": day, "opens": opens, "closes": closes, "pairs": pairs}
        for day in range(5)
        for opens, closes, pairs in (("08:30", "12:30", 1), ("13:15", "17:00", 2 if day == 2 else 1))
    ]
    return _rows("studio.studiosettings", settings) + _rows("studio.weeklyhours", *hours)


DUST = (
    "Fine dust harms the lungs. Mask on before the tub is opened, pour powder low and slow, wipe up damp. "
    "Local rules and the supplier's safety data sheet come first."
)
HEAT = "Setting compound heats. Gloves and eye protection on; never cast round a hand or any part of a body."
AIR = "Open a window and wear gloves when sealing. The supplier's safety data sheet comes first."
HOT_WAX = "Hot wax burns and catches fire. Never leave it on the heat alone; never put water on burning wax."
WAX_SHEET = (
    "Invented for the demo: the supplier's sheet names no hazard. Yours may; type it as it stands there."
)
OIL = "Fragrance irritates skin and eyes and may burn: gloves on, away from flames, wipe up spills at once."
OIL_SHEET = (
    "Invented for the demo: here stands, word for word, what the supplier's sheet says of this fragrance."
)

MATERIALS: dict[str, Row] = {
    "Quick compound": {
        "kind": "powder", "unit": "g", "opened_life_days": 90, "unopened_life_days": 365,
        "safety_level": 3 * KILO, "pack_size": 15 * KILO, "supplier": 1, "cautions": DUST,
    },
    "Slow plaster": {
        "kind": "powder", "unit": "g", "opened_life_days": 60, "unopened_life_days": 180,
        "safety_level": 3 * KILO, "pack_size": 20 * KILO, "supplier": 1, "cautions": DUST,
    },
    "Black oxide": {"kind": "pigment", "unit": "g", "safety_level": 100_000, "pack_size": 500_000, "supplier": 2},
    "Red oxide": {"kind": "pigment", "unit": "g", "safety_level": 100_000, "pack_size": 500_000, "supplier": 2},
    "Yellow ochre": {"kind": "pigment", "unit": "g", "safety_level": 80_000, "pack_size": 500_000, "supplier": 2},
    "Green oxide": {"kind": "pigment", "unit": "g", "safety_level": 120_000, "pack_size": 250_000, "supplier": 2},
    "Sealer": {
        "kind": "sealer", "unit": "ml", "opened_life_days": 90, "safety_level": LITRE // 2, "pack_size": LITRE,
        "density_g_per_ml": 1.03, "supplier": 2, "cautions": AIR,
    },
    "Container wax": {
        "kind": "wax", "unit": "g", "density_g_per_ml": 0.9, "melted_density_g_per_ml": 0.82,
        "safety_level": KILO, "pack_size": 5 * KILO, "supplier": 3,
        "cautions": HOT_WAX, "hazard_wording": WAX_SHEET,
    },
    "Cotton wick": {"kind": "wick", "unit": "piece", "safety_level": 20_000, "pack_size": 100_000, "supplier": 3},
    "Saltmarsh fragrance": {
        "kind": "fragrance", "unit": "g", "opened_life_days": 365, "safety_level": 100_000,
        "pack_size": 500_000, "supplier": 3, "cautions": OIL, "hazard_wording": OIL_SHEET,
    },
    "Post box, medium": {
        "kind": "packaging", "unit": "piece", "safety_level": 8_000, "pack_size": 25_000, "supplier": 4,
    },
}  # fmt: skip
# What the suppliers sell: amount in one pack, its price.
PACKS: dict[str, tuple[tuple[int, int], ...]] = {
    "Quick compound": ((5 * KILO, 1790), (15 * KILO, 4350)),
    "Slow plaster": ((5 * KILO, 990), (20 * KILO, 2800)),
    "Green oxide": ((250_000, 720), (1 * KILO, 2300)),
    "Black oxide": ((500_000, 900),),
    "Red oxide": ((500_000, 950),),
    "Yellow ochre": ((500_000, 800),),
    "Sealer": ((LITRE, 1700), (5 * LITRE, 7200)),
    "Container wax": ((5 * KILO, 3250),),
    "Cotton wick": ((100_000, 500),),
    "Saltmarsh fragrance": ((500_000, 1800),),
    "Post box, medium": ((25_000, 1875), (100_000, 6400)),
}
MATERIAL_PK = {name: number for number, name in enumerate(MATERIALS, start=1)}


def _stores() -> list[Row]:
    suppliers = [
        {"name": "Mudflat Minerals", "lead_working_days": 4, "carriage_minor": 1150},
        {"name": "Tideline Colours", "lead_working_days": 3, "carriage_minor": 450},
        {"name": "Lantern and Wick", "lead_working_days": 5, "carriage_minor": 600},
        {"name": "Paper Creek", "lead_working_days": 3, "carriage_minor": 700},
    ]
    packs = [
        {
            "supplier": MATERIALS[name]["supplier"],
            "material": MATERIAL_PK[name],
            "amount": amount,
            "price_minor": price,
        }
        for name, sizes in PACKS.items()
        for amount, price in sizes
    ]
    materials = [{"name": name, **row} for name, row in MATERIALS.items()]
    return (
        _rows("inventory.supplier", *suppliers)
        + _rows("inventory.material", *materials)
        + _rows("inventory.supplierpack", *packs)
    )


def _compounds() -> list[Row]:
    quick = {
        "name": "quick compound", "powder": MATERIAL_PK["Quick compound"], "water_ratio": 0.30,
        "powder_density_g_per_ml": 2.70, "working_time_minutes": 15, "stir_minutes": 3,
        "weigh_and_mix_minutes": 8, "clean_up_minutes": 4, "open_after_minutes": 60, "dry_hours": 30,
        "overfill": 0.02, "sieve_allowance": 0.02, "residue_mg": 40_000, "jug_most_mg": 3_500_000,
        "cautions": HEAT,
    }  # fmt: skip
    slow = {
        "name": "slow plaster", "powder": MATERIAL_PK["Slow plaster"], "water_ratio": 0.60,
        "powder_density_g_per_ml": 2.63, "working_time_minutes": 12, "stir_minutes": 3,
        "weigh_and_mix_minutes": 10, "clean_up_minutes": 5, "open_after_minutes": 150, "dry_hours": 60,
        "overfill": 0.03, "sieve_allowance": 0.02, "residue_mg": 50_000, "jug_most_mg": 3_500_000,
        "cautions": HEAT,
    }  # fmt: skip
    return _rows("production.compound", quick, slow)


COLOURS: dict[str, tuple[str, dict[str, float]]] = {
    "Slate": ("#4B555C", {"Black oxide": 0.02}),
    "Fog": ("#B4BABB", {"Black oxide": 0.004}),
    "Brick": ("#94473A", {"Red oxide": 0.02, "Black oxide": 0.002}),
    "Samphire": ("#6A7D4E", {"Green oxide": 0.018, "Yellow ochre": 0.004}),
    "Rust": ("#7C452C", {"Red oxide": 0.012, "Yellow ochre": 0.01}),
    "Shell": ("#E4D8C6", {"Yellow ochre": 0.003}),
}
COLOUR_PK = {name: number for number, name in enumerate(COLOURS, start=1)}


def _colours() -> list[Row]:
    colours = [{"name": name, "hex": shade} for name, (shade, _) in COLOURS.items()]
    pigments = [
        {"colour": COLOUR_PK[name], "compound": compound, "pigment": MATERIAL_PK[pigment], "load": load}
        for name, (_, loads) in COLOURS.items()
        for compound in (1, 2)
        for pigment, load in loads.items()
    ]
    return _rows("production.colour", *colours) + _rows("production.colourpigment", *pigments)


# name: silhouette, mean of the fills in mL, copies, minutes to fill, to open, to clean and dry
MOULDS: dict[str, tuple[str, float, int, int, int, int]] = {
    "Saltings pot": ("pot", 330.0, 2, 2, 6, 120),
    "Saltings saucer": ("saucer", 112.0, 2, 1, 3, 90),
    "Ferry tray": ("tray", 238.0, 3, 2, 4, 90),
    "Groyne bookend": ("bookend", 720.0, 2, 3, 6, 180),
    "Cockle cup": ("cup", 92.0, 6, 1, 2, 60),
    "Strand soap dish": ("dish", 148.0, 2, 1, 3, 90),
    "Creek dish": ("dish", 136.0, 2, 1, 3, 90),
    "Creek lid": ("saucer", 58.0, 2, 1, 3, 90),
}
MOULD_PK = {name: number for number, name in enumerate(MOULDS, start=1)}
FILLED_ON = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)


def _moulds() -> list[Row]:
    moulds, copies, fills = [], [], []
    for name, (outline, volume_ml, owned, fill, opening, rest) in MOULDS.items():
        moulds.append({
            "name": name, "silhouette": outline, "volume_ul": round(volume_ml * 1000),
            "fill_minutes": fill, "open_minutes": opening, "clean_and_dry_minutes": rest,
        })  # fmt: skip
        copies += [
            {
                "mould": MOULD_PK[name], "number": number, "casts_before": 8 + 11 * number,
                "casts_expected": 60, "price_minor": 2400,
            }
            for number in range(1, owned + 1)
        ]  # fmt: skip
        # 1 mL of water at 20 C reads 1/1.0029 g on the scale; the three fills stand a little apart.
        fills += [
            {
                "mould": MOULD_PK[name], "water_mg": round(volume_ml * 1000 / 1.0029) + apart, "water_c": 20.0,
                "filled_at": FILLED_ON,
            }
            for apart in (-200, 0, 200)
        ]  # fmt: skip
    return (
        _rows("production.mould", *moulds)
        + _rows("production.mouldcopy", *copies)
        + _rows("production.waterfill", *fills)
    )


def _coat(route: int, position: int, number: int, wait_minutes: int | None) -> Row:
    return {
        "route": route, "position": position, "kind": "coat", "name": f"coat {number}",
        "wait_minutes": wait_minutes, "minutes_each": 3, "minutes_per_board": 5,
        "material": MATERIAL_PK["Sealer"], "amount_each": 12_000,
    }  # fmt: skip


def _cure(route: int, position: int, hours: int) -> Row:
    return {"route": route, "position": position, "kind": "cure", "name": "cure", "wait_minutes": hours * 60}


# The cup holds 92 mL; 87 % of it in melted wax of 0.82 g/mL with 6 % of the wax in fragrance is 65.63 g.
CUP_FILL = {
    "vessel_ul": 92_000, "fill_part": 0.87, "wax_density": 0.82, "fragrance_percent": 6.0,
    "convention": "of wax", "limit_percent": 8.0, "percent_of_wax": 6.0, "percent_of_total": 600 / 106,
}  # fmt: skip


def _routes() -> list[Row]:
    routes = [
        {"name": "two coats, indoors", "care": "For indoors: keep it from standing water."},
        {"name": "three coats, outdoors", "care": "Bring it in before the first frost."},
        {"name": "one coat"},
        {"name": "sealed, filled with wax"},
    ]
    fill = {
        "route": 4, "position": 2, "kind": "fill", "name": "fill", "wait_minutes": 16 * 60, "minutes_each": 4,
        "minutes_per_board": 15, "material": MATERIAL_PK["Container wax"], "amount_each": 61_900,
        "fragrance": MATERIAL_PK["Saltmarsh fragrance"], "fragrance_each": 3_700,
        "wick": MATERIAL_PK["Cotton wick"], "wicks_each": 1_000, "filling": CUP_FILL,
    }  # fmt: skip
    steps = [
        _coat(1, 1, 1, None), _coat(1, 2, 2, 240), _cure(1, 3, 20),
        _coat(2, 1, 1, None), _coat(2, 2, 2, 240), _coat(2, 3, 3, 240), _cure(2, 4, 24),
        _coat(3, 1, 1, None), _cure(3, 2, 16),
        _coat(4, 1, 1, None), fill, _cure(4, 3, 96),
    ]  # fmt: skip
    return _rows("production.route", *routes) + _rows("production.routestep", *steps)


CARE = "Wipe with a damp cloth. Not for the dishwasher, not for food, not for frost."
CANDLE_CARE = "Trim the wick before each burn. When the wax is gone, wipe the cup out and keep it."
ARTICLES: dict[str, Row] = {
    "Saltings pot and saucer": {"silhouette": "pot and saucer", "route": 2, "is_matched": True, "pack_minutes": 6, "price_minor": 3800},
    "Ferry tray": {"silhouette": "tray", "route": 3, "pack_minutes": 4, "price_minor": 1800},
    "Groyne bookend": {"silhouette": "bookend", "route": 1, "pack_minutes": 6, "price_minor": 2600},
    "Cockle tea-light cup, plain": {"silhouette": "cup", "route": 3, "pack_minutes": 3, "price_minor": 950},
    "Cockle tea-light cup, filled": {
        "silhouette": "cup", "route": 4, "pack_minutes": 3, "is_candle": True, "care": CANDLE_CARE,
        "price_minor": 1600,
    },
    "Strand soap dish": {"silhouette": "dish", "route": 1, "pack_minutes": 3, "price_minor": 1400},
    "Creek trinket dish and lid": {"silhouette": "dish", "route": 3, "is_matched": True, "pack_minutes": 5, "price_minor": 1700},
}  # fmt: skip
ARTICLE_PK = {name: number for number, name in enumerate(ARTICLES, start=1)}
PARTS = (
    ("Saltings pot and saucer", "pot", "Saltings pot", 1),
    ("Saltings pot and saucer", "saucer", "Saltings saucer", 1),
    ("Ferry tray", "tray", "Ferry tray", 1),
    ("Groyne bookend", "bookend", "Groyne bookend", 2),
    ("Cockle tea-light cup, plain", "cup", "Cockle cup", 1),
    ("Cockle tea-light cup, filled", "cup", "Cockle cup", 1),
    ("Strand soap dish", "dish", "Strand soap dish", 1),
    ("Creek trinket dish and lid", "dish", "Creek dish", 1),
    ("Creek trinket dish and lid", "lid", "Creek lid", 1),
)


def _articles() -> list[Row]:
    articles = [
        {
            "name": name, "care": CARE, "colours": list(COLOUR_PK.values()),
            "packaging": MATERIAL_PK["Post box, medium"], "packaging_each": 1_000, "margin_wanted": 0.4, **row,
        }
        for name, row in ARTICLES.items()
    ]  # fmt: skip
    parts = [
        {"article": ARTICLE_PK[article], "name": part, "mould": MOULD_PK[mould], "compound": compound}
        for article, part, mould, compound in PARTS
    ]
    return _rows("production.article", *articles) + _rows("production.articlepart", *parts)


def samphire_lane() -> list[Row]:
    """Every row of what the studio is and owns, in an order that can be saved."""
    return _studio() + _stores() + _compounds() + _colours() + _moulds() + _routes() + _articles()


# Where a tub stands, by the letter of its code.
PLACES = {
    "B": "back shelf",
    "Q": "bench",
    "W": "bench",
    "P": "pigment drawer",
    "S": "sealing table",
    "X": "sealing table",
    "K": "sealing table",
    "F": "sealing table",
    "M": "packing table",
}
# What stands in the stores at the start: material, tub, role, tare g, capacity, amount, price, days ago.
TUBS: tuple[tuple[str, str, str, int, int, int, int, int], ...] = (
    ("Quick compound", "B4", "bulk", 1180, 20 * KILO, 15 * KILO, 4350, 46),
    ("Quick compound", "Q2", "working", 860, 15 * KILO, 6 * KILO, 2148, 46),
    ("Slow plaster", "B5", "bulk", 1180, 25 * KILO, 20 * KILO, 2800, 30),
    ("Slow plaster", "W1", "working", 860, 10 * KILO, 7 * KILO, 980, 30),
    ("Black oxide", "P1", "working", 40, 600_000, 410_000, 900, 60),
    ("Red oxide", "P2", "working", 40, 600_000, 480_000, 950, 60),
    ("Yellow ochre", "P3", "working", 40, 600_000, 390_000, 800, 60),
    ("Green oxide", "P4", "working", 40, 600_000, 130_000, 700, 60),
    ("Sealer", "S1", "working", 90, 2 * LITRE, 1_900_000, 3200, 25),
    ("Container wax", "X1", "working", 300, 6 * KILO, 4 * KILO, 2600, 25),
    ("Cotton wick", "K1", "working", 0, 200_000, 90_000, 450, 25),
    ("Saltmarsh fragrance", "F1", "working", 120, 700_000, 420_000, 1800, 25),
    ("Post box, medium", "M1", "working", 0, 100_000, 60_000, 4500, 25),
)
