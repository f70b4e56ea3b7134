"""Invented planning problems of a given size and load, in the exchanged form, the same for the same seed.

The load is the hands that all lines need (mixes shared as a good plan shares them) over the hands there are
until the last line is due. What is lost to waiting for moulds and drying comes on top, so that a studio at
1.0 cannot have all in time.
"""

import random
from collections import Counter
from typing import Any

from production.planning.boards import BOARD_PIECES
from tests.production.planning.generator import ARTICLES, COLOURS, COMPOUNDS, DAY, MOULDS

OPENS, CLOSES = 540, 1020
PAUSE = (750, 795)
PAIR_MINUTES_A_DAY = CLOSES - OPENS - (PAUSE[1] - PAUSE[0])
MIX = {"weigh_and_mix_minutes": 8, "clean_up_minutes": 5, "residue_g": 60, "jug_g": 2600}
# Casts that share a mix where the plan is good; only the load is reckoned with it.
CASTS_PER_MIX = 6
LEAST_DAYS = 18
LEAST_WINDOW = (PAUSE[0] - OPENS) // 2
# How much of what a kind of mould could turn out is asked of it at a load of 1, from roomy to tight.
MOULD_USE = (0.4, 0.8)
MOST_TURNS_A_LINE = 3


def a_load_form(lines: int, seed: int, load: float) -> dict[str, Any]:
    """A problem of so many lines that keeps its hands as busy as `load` says.

    Bigger studios have more hands (one pair up to 300 lines, three from 1000) and enough moulds for what
    they sell; a small one opens for part of the day, so that ten lines are spread over weeks too. One
    weekday in three weeks is closed, powder comes every second week, and a tenth of the lines is in
    moulds or drying. No line is due sooner than it could be made alone, with two days in hand.
    """
    rng = random.Random(f"{lines} {seed}")
    pairs = 1 if lines <= 300 else 2 if lines < 1000 else 3
    articles = {name: _article(facts) for name, facts in ARTICLES.items()}
    orders = [_order(rng, number) for number in range(lines)]
    minutes = sum(_hands_minutes(articles[order["article"]], order["quantity"]) for order in orders)
    days_needed = minutes / load / pairs / PAIR_MINUTES_A_DAY * 7 / 5
    days = max(LEAST_DAYS, round(days_needed))
    for order in orders:
        earliest = _lead_days(articles[order["article"]]) + 2
        order["ship_by"] = rng.randrange(earliest, days) * DAY + CLOSES
    form: dict[str, Any] = {
        "form": "casting-plan-problem 1",
        "minutes": (days * 2 + 42) * DAY,
        "hands": _windows(days * 2 + 42, pairs, min(1.0, days_needed / days)),
        "mix": MIX,
        "late_step_days": 2,
        "compounds": COMPOUNDS,
        "powder": _powder(articles, orders, days),
        "moulds": _moulds(rng, articles, orders, days, load),
        "articles": articles,
        "orders": orders,
        "poured": [],
        "out_of_mould": [],
        "pins": [],
    }
    _put_in_progress(rng, form)
    return form


def _article(facts: dict[str, Any]) -> dict[str, Any]:
    parts = [
        {"name": name, "mould": mould, "ml": ml, "compound": compound, "colour": None}
        for name, mould, ml, compound in facts["parts"]
    ]
    return {"matched": False, **facts, "parts": parts}


def _order(rng: random.Random, number: int) -> dict[str, Any]:
    return {
        "id": str(1001 + number),
        "article": rng.choice(sorted(ARTICLES)),
        "colour": rng.choice(COLOURS),
        "quantity": rng.choice((1, 1, 2, 2, 3, 4, 6, 8, BOARD_PIECES)),
        "weight": rng.choice((1, 1, 1, 2)),
    }


def _hands_minutes(article: dict[str, Any], quantity: int) -> float:
    """Hands for a line from weighing to packing, its casts sharing mixes with others."""
    mix = (MIX["weigh_and_mix_minutes"] + MIX["clean_up_minutes"]) / CASTS_PER_MIX
    each = sum(mix + MOULDS[part["mould"]][1] + MOULDS[part["mould"]][2] for part in article["parts"]) + (
        article["coats"] * article["coat_minutes"] + article["fill_minutes"]
    )
    return quantity * each + article["pack_minutes"]


def _lead_days(article: dict[str, Any]) -> int:
    """Days from pour to packing that hands cannot shorten, rounded up."""
    drying = max(COMPOUNDS[part["compound"]]["dry_hours"] for part in article["parts"])
    return -(-(drying + article["coats"] * article["recoat_hours"] + article["cure_hours"]) // 24)


def _windows(days: int, pairs: int, share_of_day: float) -> list[dict[str, int]]:
    """Two windows each weekday, but for the Wednesday of every third week; `share_of_day` shortens them."""
    windows = []
    for day in range(days):
        if day % 7 >= 5 or day % 21 == 16:
            continue
        for opens, closes in ((OPENS, PAUSE[0]), (PAUSE[1], CLOSES)):
            # Nobody comes in for less than half a morning.
            length = max(LEAST_WINDOW, round((closes - opens) * share_of_day))
            windows.append({"from": day * DAY + opens, "to": day * DAY + opens + length, "pairs": pairs})
    return windows


def _moulds(
    rng: random.Random, articles: dict[str, Any], orders: list[dict[str, Any]], days: int, load: float
) -> dict[str, dict[str, Any]]:
    """Copies for what is sold: `MOULD_USE` of the turns there is time for, and three turns for any line."""
    casts: Counter[str] = Counter()
    largest: Counter[str] = Counter()
    turn_minutes: dict[str, int] = {}
    for order in orders:
        for part in articles[order["article"]]["parts"]:
            casts[part["mould"]] += order["quantity"]
            largest[part["mould"]] = max(largest[part["mould"]], order["quantity"])
            setting = COMPOUNDS[part["compound"]]["open_after_minutes"]
            turn_minutes[part["mould"]] = setting + MOULDS[part["mould"]][3] + 30
    moulds = {}
    for name, (_, fill, opening, rest) in MOULDS.items():
        turns_a_day = max(1, PAIR_MINUTES_A_DAY // turn_minutes.get(name, PAIR_MINUTES_A_DAY))
        turns = days * 5 / 7 * turns_a_day * rng.uniform(*MOULD_USE) * load
        moulds[name] = {
            "copies": max(2, round(casts[name] / turns), -(-largest[name] // MOST_TURNS_A_LINE)),
            "fill_minutes": fill,
            "open_minutes": opening,
            "rest_minutes": rest,
        }
    return moulds


def _powder(articles: dict[str, Any], orders: list[dict[str, Any]], days: int) -> dict[str, dict[str, Any]]:
    """Two weeks of powder in hand, then a delivery every second week, a fifth more than is cast."""
    powder = {}
    for name, compound in COMPOUNDS.items():
        grams = sum(
            order["quantity"] * part["ml"] * compound["slurry_g_per_ml"] * compound["powder_share"] * 1.2
            for order in orders
            for part in articles[order["article"]]["parts"]
            if part["compound"] == name
        )
        fortnight_g = round(grams / days * 14)
        receipts = [{"at": day * DAY + 600, "g": fortnight_g} for day in range(8, days * 2, 14)]
        powder[name] = {"opening_g": fortnight_g + 5000, "receipts": receipts}
    return powder


def _put_in_progress(rng: random.Random, form: dict[str, Any]) -> None:
    """Casts of the lines due first: some drying, some still in their moulds."""
    due_first = sorted(form["orders"], key=lambda order: (order["ship_by"], order["id"]))
    free = {name: mould["copies"] for name, mould in form["moulds"].items()}
    for number, order in enumerate(due_first[: max(1, len(due_first) // 10)]):
        parts = form["articles"][order["article"]]["parts"]
        quantity = min(order["quantity"], 2)
        casts = [{"line": order["id"], "part": part["name"], "quantity": quantity} for part in parts]
        if rng.random() < 0.6 or any(free[part["mould"]] < quantity for part in parts):
            form["out_of_mould"] += [{**cast, "opened_at": -rng.randrange(1, 2000)} for cast in casts]
            continue
        for part in parts:
            free[part["mould"]] -= quantity
        form["poured"].append(
            {
                "id": f"P{number}",
                "compound": parts[0]["compound"],
                "colour": order["colour"],
                "filled_at": -rng.randrange(1, 900),
                "casts": casts,
            }
        )
