"""Nothing that is typed or asked for breaks a page: every form and every address, as owner and as helper;
and no page that a helper comes to has a price on it.

`FUZZ_SECONDS` in the environment makes it longer, with another seed each time.
"""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.test import Client

from shopfloor.journeys.demo.loading import load_demo
from shopfloor.studio.port import LiveStudio
from tests.shopfloor.security.fuzzing import fuzz

LONGER = float(os.environ.get("FUZZ_SECONDS", "0"))
SECONDS = LONGER / 2 or 4
PRICE = re.compile(r"£\s?\d|\d\s?GBP|GBP\s?\d")
SEED = int(time.time()) if LONGER else 20261005


@pytest.mark.once
def test_nothing_typed_or_asked_for_breaks_a_page(
    signed_in: Client, signed_in_helper: Client, owner: User, tmp_path: Path
):
    load_demo(now=LiveStudio().now(), folder=tmp_path, by=owner.pk)

    for who, client in (("owner", signed_in), ("helper", signed_in_helper)):
        found = fuzz(client, seed=SEED, seconds=SECONDS)

        print(f"{who}, seed {SEED}: {len(found.pages)} pages, {len(found.forms)} forms, {dict(found.asked)}")
        assert "\n".join(f"{place}: {sent}" for place, sent in found.broken.items()) == ""
        assert len(found.forms) > 20
        assert found.asked.total() > 100
        if who == "helper":
            assert [page for page, text in found.texts.items() if PRICE.search(text)] == []
