"""The OpenAPI document of what programs may ask, made of the shapes that requests are held against.

Source: OpenAPI Specification 3.1.0, OpenAPI Initiative, 2021.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse

from orders.arithmetic.json_shapes import CHANGES, DAY, LINE, NUMBER, ORDER_TO_TAKE, PROMISE_ASKED, Shape
from orders.operations.clients import SCOPES
from orders.queries.order_records import PAGE_MOST
from orders.views.api.asking import KEY_MOST, PROBLEM, TITLES, Refused, problem

VERSION = "1"
TEXT: Shape = {"type": "string"}
COUNT: Shape = {"type": "integer", "minimum": 0}
ABOUT = (
    "Keep, read, change and call off the orders of a studio, ask what can be promised, and read what is in"
    " the stores. The owner of the studio makes a token for each program under Studio, Programs. Every"
    " request that changes something carries a new Idempotency-Key: asked again with the same key and content"
    " it is answered as the first time, and nothing is done twice; other content under a used key is refused."
    " Answers are remembered for thirty days. A refusal keeps nothing, and its key can be used again."
    " Refusals are problem details (RFC 9457). A program may ask {rate} times a minute."
)


def openapi(request: HttpRequest) -> HttpResponse:
    """The document."""
    return JsonResponse(document(request.build_absolute_uri("/api")))


openapi.role = "client"  # type: ignore[attr-defined]
openapi = login_not_required(openapi)


def nothing_there(request: HttpRequest, rest: str) -> HttpResponse:
    """Whatever else is asked for."""
    return problem(Refused(404, "There is nothing at this address. See /api/openapi.json."))


nothing_there.role = "client"  # type: ignore[attr-defined]
nothing_there = login_not_required(nothing_there)


def document(server: str) -> dict[str, Any]:
    """The OpenAPI document, for a studio that answers at `server`."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Orders and stores of a casting studio",
            "version": VERSION,
            "description": ABOUT.format(rate=settings.API_REQUESTS_A_MINUTE),
        },
        "servers": [{"url": server}],
        "security": [{"token": []}],
        "paths": _paths(),
        "components": {
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
            "schemas": _schemas(),
            "responses": {f"{code}": _refusal(title) for code, title in TITLES.items()},
        },
    }


def _paths() -> dict[str, Any]:
    number = {"name": "number", "in": "path", "required": True, "schema": {"type": "string"}}
    return {
        "/orders": {
            "get": _asks(
                "List orders, oldest first", "orders:read", _answers("Some orders", "Orders"),
                parameters=[
                    _query("after", {**COUNT, "maximum": 2**63 - 1}, "Where `next` of the page before says."),
                    _query("limit", {"type": "integer", "minimum": 1, "maximum": PAGE_MOST}, "A page."),
                    _query("open", {"type": "boolean"}, "Only open ones, or only closed ones."),
                ], refusals=(422,),
            ),
            "post": _asks(
                "Keep an order or a market day", "orders:write", _done("Kept", 201),
                content="OrderToTake", parameters=[KEY], refusals=(400, 409, 413, 415, 422),
            ),
        },
        "/orders/{number}": {
            "parameters": [number],
            "get": _asks("Read an order", "orders:read", _answers("The order", "Order"), refusals=(404, 422)),
            "patch": _asks(
                "Change an open order", "orders:write", _done("Changed, and what that frees", 200),
                content="Changes", parameters=[KEY], refusals=(400, 404, 409, 413, 415, 422),
            ),
        },
        "/orders/{number}/call-off": {
            "parameters": [number],
            "post": _asks(
                "Call an open order off", "orders:write", _done("Called off, and what that frees", 200),
                parameters=[KEY], refusals=(400, 404, 409, 422),
            ),
        },
        "/promise": {
            "post": _asks(
                "The earliest day that could be promised; nothing is kept", "orders:read",
                _answers("What can be promised", "Promise"),
                content="PromiseAsked", refusals=(400, 413, 415, 422),
            ),
        },
        "/range": {
            "get": _asks(
                "What can be ordered", "orders:read", _answers("Articles and their colours", "Range"),
                refusals=(422,),
            )
        },
        "/stores": {
            "get": _asks(
                "What is in the stores", "stores:read", _answers("Every material in use", "Stores"),
                refusals=(422,),
            )
        },
    }  # fmt: skip


KEY: Mapping[str, Any] = {
    "name": "Idempotency-Key",
    "in": "header",
    "required": True,
    "schema": {"type": "string", "minLength": 1, "maxLength": KEY_MOST, "pattern": "^[A-Za-z0-9_.:-]+$"},
    "description": "A new one for each request, such as a UUID.",
}


def _schemas() -> dict[str, Shape]:
    line = {name: shape for name, shape in LINE["properties"].items()} | {"kept": COUNT, "shipped": COUNT}
    order = {
        "number": TEXT,
        "kind": {"type": "string", "enum": ["order", "market"]},
        "state": {"type": "string", "enum": ["open", "shipped", "called off"]},
        "came_from": TEXT,
        "customer": TEXT,
        "address": _list(TEXT),
        "ordered_on": DAY,
        "ship_by": DAY,
        "late_counts": COUNT,
        "note": TEXT,
        "gift_message": TEXT,
        "lines": _list(_whole(line)),
    }
    day_or_none = {"type": ["string", "null"], "format": "date"}
    articles = _list(_whole({"name": TEXT, "colours": _list(TEXT)}))
    material = {"name": TEXT, "kind": TEXT, "unit": TEXT, "held_thousandths": {"type": "integer"}}
    fault = _whole({"pointer": TEXT, "detail": TEXT})
    told = {"type": TEXT, "title": TEXT, "status": COUNT, "detail": TEXT, "errors": _list(fault)}
    return {
        "OrderToTake": ORDER_TO_TAKE,
        "Changes": CHANGES,
        "PromiseAsked": PROMISE_ASKED,
        "Order": _whole(order),
        "Orders": {
            "type": "object",
            "properties": {"orders": _list({"$ref": "#/components/schemas/Order"}), "next": TEXT},
            "required": ["orders"],
        },
        "Done": _whole({"number": NUMBER, "order": TEXT, "said": TEXT}),
        "Promise": _whole(
            {"earliest": day_or_none, "limit": TEXT, "insisted": TEXT, "lines": _list(day_or_none)}
        ),
        "Range": _whole({"articles": articles}),
        "Stores": _whole({"materials": _list(_whole(material))}),
        "Problem": {
            "type": "object",
            "properties": told,
            "required": ["type", "title", "status", "detail"],
        },
    }


def _asks(
    summary: str,
    scope: str,
    answers: dict[str, Any],
    *,
    refusals: Sequence[int],
    content: str = "",
    parameters: Sequence[Mapping[str, Any]] = (),
) -> dict[str, Any]:
    codes = sorted({401, 403, 429, *refusals})
    asked: dict[str, Any] = {
        "operationId": "".join(word.capitalize() for word in summary.split(";")[0].split(",")[0].split()),
        "summary": summary,
        "description": f"Wants the scope {scope}: {SCOPES[scope]}.",
        "responses": {**answers, **{f"{code}": {"$ref": f"#/components/responses/{code}"} for code in codes}},
    }
    if parameters:
        asked["parameters"] = list(parameters)
    if content:
        schema = {"$ref": f"#/components/schemas/{content}"}
        asked["requestBody"] = {"required": True, "content": {"application/json": {"schema": schema}}}
    return asked


def _answers(says: str, schema: str, code: int = 200) -> dict[str, Any]:
    reference = {"$ref": f"#/components/schemas/{schema}"}
    return {f"{code}": {"description": says, "content": {"application/json": {"schema": reference}}}}


def _done(says: str, code: int) -> dict[str, Any]:
    return _answers(says, "Done", code)


def _refusal(title: str) -> dict[str, Any]:
    reference = {"$ref": "#/components/schemas/Problem"}
    return {"description": title, "content": {PROBLEM: {"schema": reference}}}


def _query(name: str, schema: Mapping[str, Any], says: str) -> dict[str, Any]:
    return {"name": name, "in": "query", "schema": dict(schema), "description": says}


def _list(of: Mapping[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": dict(of)}


def _whole(properties: Mapping[str, Any]) -> dict[str, Any]:
    """An object that always has all of these."""
    return {"type": "object", "properties": dict(properties), "required": list(properties)}
