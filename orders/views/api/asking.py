"""How a program's request is let in, read, answered and refused.

A token in the Authorization header opens the door; cookies of a browser are not looked at, so nothing here
needs a form's token against forgery.

Sources: M. Jones and D. Hardt, The OAuth 2.0 Authorization Framework: Bearer Token Usage, RFC 6750, 2012;
M. Nottingham et al., Problem Details for HTTP APIs, RFC 9457, 2023; R. Fielding et al., HTTP Semantics,
RFC 9110, 2022.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.csrf import csrf_exempt

from inventory.errors import RequestKeyReused, StudioError
from orders.arithmetic.json_shapes import Shape, faults_of
from orders.errors import NoSuchOrder, OrderClosed, OrderRefused
from orders.operations.clients import Answer, Client, answer_once, client_of

PROBLEM = "application/problem+json"
BODY_MOST = 200_000
KEY_MOST = 255
MINUTE = 60
TITLES = {
    400: "Bad request",
    401: "No token that opens this",
    403: "Not allowed to this program",
    404: "Not found",
    405: "Not done here",
    409: "Does not fit what is kept",
    413: "Too long",
    415: "Not JSON",
    422: "Does not fit",
    429: "Too many requests",
}
View = Callable[..., HttpResponse]


class Refused(Exception):
    """A request that is answered with a problem."""

    def __init__(self, code: int, detail: str, headers: Mapping[str, str] | None = None, **more: Any) -> None:
        super().__init__(detail)
        self.code, self.detail, self.headers, self.more = code, detail, headers or {}, more


def for_clients(**doing: tuple[str, View]) -> View:
    """A view for programs: for each method, the scope it wants and the function that answers."""

    def view(request: HttpRequest, *arguments: Any, **named: Any) -> HttpResponse:
        method = "GET" if request.method == "HEAD" else request.method or ""
        try:
            if method not in doing:
                allowed = ", ".join(sorted(doing))
                raise Refused(405, f"Ask with {allowed}.", {"Allow": allowed})
            scope, answer = doing[method]
            client = _client(request)
            if scope not in client.scopes:
                raise Refused(
                    403,
                    f"{client.name} may not do this: it wants the scope {scope}.",
                    {"WWW-Authenticate": f'Bearer error="insufficient_scope", scope="{scope}"'},
                )
            return answer(request, client, *arguments, **named)
        except Refused as refused:
            return problem(refused)
        except StudioError as fault:
            return problem(_as_refused(fault))

    view.role = "client"  # type: ignore[attr-defined]
    return csrf_exempt(login_not_required(view))


def problem(refused: Refused) -> HttpResponse:
    """A refusal as problem details."""
    content = {
        "type": refused.more.pop("type", "about:blank"),
        "title": TITLES[refused.code],
        "status": refused.code,
        "detail": refused.detail,
        **refused.more,
    }
    answer = JsonResponse(content, status=refused.code, content_type=PROBLEM)
    for name, value in refused.headers.items():
        answer[name] = value
    return answer


def said(body: dict[str, Any], code: int = 200, **headers: str) -> HttpResponse:
    """An answer in JSON that nobody on the way keeps."""
    answer = JsonResponse(body, status=code)
    answer["Cache-Control"] = "no-store"
    for name, value in headers.items():
        answer[name] = value
    return answer


def content_of(request: HttpRequest, shape: Shape) -> dict[str, Any]:
    """The request's content, held against its shape.

    Raises: Refused with every fault of it named.
    """
    if request.content_type != "application/json":
        raise Refused(415, "Send application/json.", {"Accept": "application/json"})
    if len(request.body) > BODY_MOST:
        raise Refused(413, f"Send at most {BODY_MOST:,} bytes at once.")
    try:
        found = json.loads(request.body.decode("utf-8"), parse_constant=_no_number)
        json.dumps(found, ensure_ascii=False).encode("utf-8")  # half a surrogate pair is no text
    except (ValueError, RecursionError):
        raise Refused(400, "The content is not JSON in UTF-8.") from None
    faults = list(faults_of(found, shape))
    if faults:
        raise Refused(
            422,
            "The content does not fit: see errors.",
            errors=[{"pointer": f"#{one.pointer}", "detail": one.sentence} for one in faults[:50]],
        )
    return dict(found)


def once(
    request: HttpRequest, client: Client, work: Callable[[], Answer], content: Any
) -> tuple[Answer, bool]:
    """Do what changes something once for the request's key.

    Raises: Refused without a key; StudioError as the work refuses.
    Source: J. Jena and S. Dalal, The Idempotency-Key HTTP Header Field, IETF draft, section 2.
    """
    key = request.headers.get("Idempotency-Key", "").strip()
    # By the draft the key is a text in quotes; programs that leave them out mean the same.
    key = key[1:-1] if len(key) > 1 and key[0] == key[-1] == '"' else key
    if not key or len(key) > KEY_MOST or not key.isprintable() or not key.isascii():
        raise Refused(400, f"Send an Idempotency-Key of 1 to {KEY_MOST} signs, a new one for each request.")
    plain = json.dumps([request.method, request.path, content], sort_keys=True)
    return answer_once(
        work,
        client_id=client.id,
        key=key,
        digest=hashlib.sha256(plain.encode()).hexdigest(),
        now=request.studio.now(),  # type: ignore[attr-defined]
    )


def whole_number(request: HttpRequest, name: str, without: int, least: int, most: int) -> int:
    """A whole number of the query, `without` when it is not there.

    Raises: Refused.
    """
    typed = request.GET.get(name)
    if typed is None:
        return without
    if not (typed.isascii() and typed.isdecimal() and len(typed) < 19 and least <= int(typed) <= most):
        raise Refused(422, f"{name} is not a whole number from {least} to {most}.")
    return int(typed)


def yes_or_no(request: HttpRequest, name: str) -> bool | None:
    """true or false of the query, None when it is not there.

    Raises: Refused.
    """
    typed = request.GET.get(name)
    if typed not in (None, "true", "false"):
        raise Refused(422, f"{name} is neither true nor false.")
    return None if typed is None else typed == "true"


def known_only(request: HttpRequest, *names: str) -> None:
    """Refuse what the query says that is not known here: a misspelt name would be answered wrongly.

    Raises: Refused.
    """
    unknown = [name for name in request.GET if name not in names]
    if unknown:
        raise Refused(422, f"{unknown[0][:40]} is not known here.")


def _client(request: HttpRequest) -> Client:
    """The program that asks.

    Raises: Refused without a token that opens, and beyond the rate.
    """
    kind, _, token = request.headers.get("Authorization", "").partition(" ")
    found = None
    if kind.lower() == "bearer" and token.strip():
        found = client_of(token.strip(), now=request.studio.now())  # type: ignore[attr-defined]
    if found is None:
        raise Refused(
            401, "Send a token that the owner of the studio made: Authorization: Bearer ...",
            {"WWW-Authenticate": 'Bearer realm="studio"'},
        )  # fmt: skip
    _count(found, request)
    return found


def _count(client: Client, request: HttpRequest) -> None:
    now = request.studio.now().timestamp()  # type: ignore[attr-defined]
    minute, past = divmod(int(now), MINUTE)
    key = f"asked-{client.id}-{minute}"
    cache.add(key, 0, 2 * MINUTE)
    if cache.incr(key) > settings.API_REQUESTS_A_MINUTE:
        raise Refused(
            429,
            f"{client.name} asked more than {settings.API_REQUESTS_A_MINUTE} times this minute. Wait.",
            {"Retry-After": str(MINUTE - past)},
        )


def _as_refused(fault: StudioError) -> Refused:
    """A refusal of an operation in HTTP's words."""
    if isinstance(fault, NoSuchOrder):
        return Refused(404, fault.message)
    if isinstance(fault, RequestKeyReused):
        return Refused(422, fault.message, type="urn:shopfloor:problem:key-used")
    if isinstance(fault, OrderClosed) or (isinstance(fault, OrderRefused) and "number" in fault.facts):
        return Refused(409, fault.message)
    field = fault.facts.get("field")
    errors = [{"pointer": f"#/{field}", "detail": fault.message}] if field else []
    return Refused(422, fault.message, errors=errors)


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is no JSON")
