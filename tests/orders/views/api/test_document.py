"""The OpenAPI document, and what the studio does with requests made from it.

References: openapi-spec-validator (the OpenAPI Initiative's own schema of 3.1 documents), and schemathesis,
which makes requests of the document and holds every answer against it.
"""

from __future__ import annotations

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, given, seed
from hypothesis import settings as hypothesis_settings
from openapi_spec_validator import OpenAPIV31SpecValidator
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_schema_conformance,
    status_code_conformance,
)

from orders.views.api.document import document
from tests.orders.views.api.test_orders import TOKEN, shop  # noqa: F401

HELD_AGAINST = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
    negative_data_rejection,
]
EXAMPLES = 8


def test_the_document_is_openapi_3_1():
    found = document("https://studio.example/api")

    OpenAPIV31SpecValidator(found).validate()
    assert found["openapi"].startswith("3.1.")


def test_the_document_is_served_to_anybody(client, db):
    served = client.get("/api/openapi.json")

    assert served.json()["servers"] == [{"url": "http://testserver/api"}]
    assert client.get("/api/nothing").status_code == 404


@pytest.fixture
def application_of_the_test():
    """The studio as a WSGI application on the connection of the test, as Django's own client has it."""
    application = get_wsgi_application()
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield application
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.mark.django_db
def test_requests_made_of_the_document_are_answered_as_it_says(shop, application_of_the_test, settings):  # noqa: F811
    settings.API_REQUESTS_A_MINUTE = 100_000
    settings.ALLOWED_HOSTS = ["*"]
    schema = schemathesis.openapi.from_dict(document("http://localhost/api"))
    schema.app = application_of_the_test
    asked = 0
    for result in schema.get_all_operations():
        operation = result.ok()

        @seed(7)
        @given(case=operation.as_strategy())
        @hypothesis_settings(
            max_examples=EXAMPLES,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        def held(case):
            nonlocal asked
            asked += 1
            # The tool unpacks no answer that came packed.
            headers = {"Authorization": f"Bearer {TOKEN}", "Accept-Encoding": "identity"}
            case.call_and_validate(headers=headers, checks=HELD_AGAINST)

        held()

    assert asked > 5 * EXAMPLES
