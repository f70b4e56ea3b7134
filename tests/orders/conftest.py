"""What the tests of the orders share."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.contrib.auth.models import User

from tests.factories.orders import SmallRange, a_range


@pytest.fixture
def made(db: None) -> SmallRange:
    """Trays in Rust and Slate, filled cups in Slate, boxes to post them."""
    return a_range()


@pytest.fixture(autouse=True)
def _uploads_of_their_own(settings, tmp_path: Path) -> None:
    """Uploaded files of a test are kept in a folder of its own."""
    settings.SHARED_DIR = tmp_path


@pytest.fixture
def signed_in_page(live_server, studio_open, owner: User, client):
    """Makes a page of a browser that is signed in as the owner."""

    def of(page):
        client.force_login(owner)
        cookie = client.cookies[django_settings.SESSION_COOKIE_NAME].value
        page.context.add_cookies(
            [{"name": django_settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}]
        )
        return page

    return of
