"""The demo studio on a fixed Monday morning, with a clock that the test moves."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

from shopfloor.studio.port import LiveStudio
from tests.journeys.opening import MONDAY, Clock, open_studio
from tests.journeys.screens import Visitor


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """The studio's only clock, in the test's hands."""
    moved = Clock(MONDAY)
    monkeypatch.setattr(LiveStudio, "now", lambda studio: moved.at)
    return moved


@pytest.fixture
def visitor(owner: User, clock: Clock) -> Visitor:
    """The owner at the pages of the demo studio, which has taken deliveries and done nothing yet."""
    open_studio()
    client = Client()
    client.force_login(owner)
    return Visitor(client, clock.tick)
