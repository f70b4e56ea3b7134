"""Orders, the range and promises, for programs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from urllib.parse import quote
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from orders.arithmetic.json_shapes import CHANGES, ORDER_TO_TAKE, PROMISE_ASKED
from orders.arithmetic.reading.names import RangeNames, named
from orders.arithmetic.reading.rows import LENGTH_MOST, number_fault
from orders.demand import TYPED
from orders.errors import OrderClosed
from orders.operations.changing import as_kept, call_off, change_order
from orders.operations.clients import Answer, Client
from orders.operations.keeping import NewOrder
from orders.operations.taking import type_order
from orders.queries.order_page import find_order
from orders.queries.order_records import PAGE_MOST, order_record, orders_after
from orders.queries.range_names import range_names
from orders.views.api.asking import (
    Refused,
    content_of,
    for_clients,
    known_only,
    once,
    said,
    whole_number,
    yes_or_no,
)
from orders.views.promising import reckoned
from production.queries.offered import articles_offered

AFTER_MOST = 2**63 - 1
Triple = tuple[int, int, int]


def _list(request: HttpRequest, client: Client) -> HttpResponse:
    known_only(request, "after", "limit", "open")
    most = whole_number(request, "limit", PAGE_MOST // 2, 1, PAGE_MOST)
    is_open = yes_or_no(request, "open")
    page = orders_after(whole_number(request, "after", 0, 0, AFTER_MOST), most=most, is_open=is_open)
    body: dict[str, Any] = {"orders": list(page.orders)}
    links = {}
    if page.next_after is not None:
        only = "" if is_open is None else f"&open={str(is_open).lower()}"
        body["next"] = f"{reverse('api:orders')}?after={page.next_after}&limit={most}{only}"
        links["Link"] = f'<{body["next"]}>; rel="next"'
    return said(body, **links)


def _take(request: HttpRequest, client: Client) -> HttpResponse:
    content = content_of(request, ORDER_TO_TAKE)
    number = " ".join(content["number"].split())
    if fault := number_fault(number):
        raise _at("/number", fault)

    def work() -> Answer:
        lines, seconds = _lines(content["lines"], range_names())
        order = NewOrder(
            number=number,
            kind=content.get("kind", "order"),
            ordered_on=_day(content.get("ordered_on"), _today(request)),
            ship_by=_day(content["ship_by"], _today(request)),
            lines=lines,
            seconds=seconds,
            weight=int(content.get("late_counts", 1)),
            **_texts(content, came_from=client.name),
        )
        done = _act(request, type_order, order=order)
        return _done(done.facts["number"], done.said, 201)

    return _once(request, client, work, content)


def _one(request: HttpRequest, client: Client, number: str) -> HttpResponse:
    known_only(request)
    return said(order_record(_plain(number)))


def _change(request: HttpRequest, client: Client, number: str) -> HttpResponse:
    content = content_of(request, CHANGES)

    def work() -> Answer:
        order_id, before = _open(number)
        lines, seconds = before.lines, before.seconds
        if "lines" in content:
            lines, seconds = _lines(content["lines"], range_names())
        fields = {name: getattr(before, name) for name in before.__dataclass_fields__}
        new = NewOrder(
            **fields
            | _texts(content)
            | {
                "lines": lines,
                "seconds": seconds,
                "ship_by": _day(content.get("ship_by"), before.ship_by),
                "weight": int(content.get("late_counts", before.weight)),
            }
        )
        done = _act(request, change_order, order_id=order_id, order=new)
        return _done(before.number, done.said, 200)

    return _once(request, client, work, content)


def _call_off(request: HttpRequest, client: Client, number: str) -> HttpResponse:
    def work() -> Answer:
        order_id, before = _open(number)
        return _done(before.number, _act(request, call_off, order_id=order_id).said, 200)

    return _once(request, client, work, {})


def _range(request: HttpRequest, client: Client) -> HttpResponse:
    known_only(request)
    articles = [
        {"name": one.name, "colours": [colour.name for colour in one.colours]} for one in articles_offered()
    ]
    return said({"articles": articles})


def _promise(request: HttpRequest, client: Client) -> HttpResponse:
    content = content_of(request, PROMISE_ASKED)
    lines, _ = _lines(content["lines"], range_names())
    today = _today(request)
    asked = _day(content["ship_by"], today) if "ship_by" in content else None
    found, words = reckoned(request, list(lines), asked=asked, is_market=False, instead_of="")
    earliest = found.all_leave_on
    return said(
        {
            "earliest": earliest.isoformat() if earliest else None,
            "limit": found.limit,
            "insisted": words,
            "lines": [
                day.isoformat() if (day := found.leaves_on[f"{TYPED}{place}"]) else None
                for place in range(1, len(lines) + 1)
            ],
        }
    )


orders = for_clients(GET=("orders:read", _list), POST=("orders:write", _take))
order = for_clients(GET=("orders:read", _one), PATCH=("orders:write", _change))
calling_off = for_clients(POST=("orders:write", _call_off))
offered = for_clients(GET=("orders:read", _range))
promise = for_clients(POST=("orders:read", _promise))


def _once(request: HttpRequest, client: Client, work: Any, content: dict[str, Any]) -> HttpResponse:
    answer, _ = once(request, client, work, content)
    return said(answer.body, answer.code, Location=answer.body["order"])


def _act(request: HttpRequest, operation: Any, **content: Any) -> Any:
    """An act for a program. The program's own key is looked at before: each run of the work is new."""
    studio = request.studio  # type: ignore[attr-defined]
    done = operation(request_key=uuid4(), now=studio.now(), by=None, **content)
    studio.after_act(operation.act_name)
    return done


def _done(number: str, sentence: str, code: int) -> Answer:
    """What is said and kept: no name or address in it, since it outlives them."""
    return Answer(
        code,
        {"number": number, "order": f"{reverse('api:orders')}/{quote(number, safe='')}", "said": sentence},
    )


def _open(number: str) -> tuple[int, NewOrder]:
    here = find_order(_plain(number))
    if here.closed_at is not None:
        raise OrderClosed(f"{here.number} is closed. Nothing was changed.", number=here.number)
    return here.pk, as_kept(here)


def _lines(typed: Sequence[dict[str, Any]], names: RangeNames) -> tuple[tuple[Triple, ...], Any]:
    """Lines by the names of the range, and which of them take seconds.

    Raises: Refused, each name that is not known with its place.
    """
    lines, seconds, errors = [], [], []
    for place, line in enumerate(typed):
        article = named(line["article"], names.articles, {})
        colour = named(line["colour"], names.colours, {})
        if article is None:
            detail = f"{line['article'][:60]} is not in the Range."
            errors.append({"pointer": f"#/lines/{place}/article", "detail": detail})
        if colour is None:
            detail = f"{line['colour'][:60]} is no colour of the Range."
            errors.append({"pointer": f"#/lines/{place}/colour", "detail": detail})
        if article is not None and colour is not None:
            if colour not in names.made_in[article]:
                detail = f"{names.articles[article]} is not made in {names.colours[colour]}."
                errors.append({"pointer": f"#/lines/{place}/colour", "detail": detail})
            lines.append((article, colour, int(line["quantity"])))
            if line.get("seconds_do"):
                seconds.append((article, colour))
    if errors:
        raise Refused(422, "Some lines do not fit the range: see errors.", errors=errors)
    return tuple(lines), tuple(seconds)


def _texts(content: dict[str, Any], **without: str) -> dict[str, str]:
    """The texts that are there, as the forms would have them."""
    found = dict(without)
    for name in ("customer", "came_from"):
        if name in content:
            found[name] = " ".join(content[name].split())
    for name in ("note", "gift_message"):
        if name in content:
            found[name] = content[name].strip()
    if "address" in content:
        found["address"] = "\n".join(" ".join(line.split()) for line in content["address"] if line.strip())
        if len(found["address"]) > LENGTH_MOST["address"]:
            raise _at("/address", f"The address is longer than {LENGTH_MOST['address']} signs.")
    return found


def _at(pointer: str, detail: str) -> Refused:
    return Refused(422, detail, errors=[{"pointer": f"#{pointer}", "detail": detail}])


def _plain(number: str) -> str:
    """A number out of an address; signs that no number has would only upset the database."""
    if not number.isprintable():
        raise Refused(404, "No such order.")
    return number


def _today(request: HttpRequest) -> date:
    studio = request.studio  # type: ignore[attr-defined]
    return studio.local(studio.now()).date()


def _day(text: str | None, without: date) -> date:
    return date.fromisoformat(text) if text else without
