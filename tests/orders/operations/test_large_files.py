"""Long order files: real orders of strangers through the mapping step, kept as the background keeps them.

Data: purchases of 1997 and 1998 at the CDNOW shop, a one-in-ten sample of one cohort of customers (P. S.
Fader and B. G. S. Hardie, Forecasting repeat sales at CDNOW: a case study, Interfaces 31, 2001), as
the package lifetimes 0.11.3 ships them (datasets/CDNOW_sample.txt; the package is under the MIT licence).
"""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path

import pytest
from django.db.models import Sum

from orders.models import Customer, Order, OrderLine
from orders.operations.importing import learn_name, preview_of, read_file, set_columns
from orders.operations.large_files import keep_large
from tests.factories.inventory import a_tap

pytestmark = pytest.mark.django_db

NEW_YEAR = datetime(1997, 1, 1, 9, tzinfo=UTC)
PURCHASES = 1500


def purchases():
    """(customer, day as YYYYMMDD, discs) of each purchase."""
    spec = find_spec("lifetimes")
    assert spec and spec.submodule_search_locations
    path = Path(spec.submodule_search_locations[0], "datasets", "CDNOW_sample.txt")
    rows = [row.split() for row in path.read_text(encoding="ascii").splitlines()[:PURCHASES]]
    return [(customer, day, int(discs)) for customer, _, day, discs, _ in rows]


def test_every_purchase_becomes_an_order_with_its_pieces_and_again_adds_nothing(made):
    bought = purchases()
    lines = ["Sale;Who;When;What;Shade;Discs"]
    lines += [f"{who}-{day};{who};{day};CD;plain;{discs:d},0" for who, day, discs in bought]

    def read():
        return read_file(name="cdnow.csv", content="\n".join(lines).encode(), now=NEW_YEAR)

    upload = read()
    set_columns(
        token=upload.token,
        columns={
            "number": ["Sale"], "customer": ["Who"], "ship_by": ["When"],
            "article": ["What"], "colour": ["Shade"], "quantity": ["Discs"],
        },
    )  # fmt: skip
    learn_name(token=upload.token, kind="articles", text="CD", means=made.tray.pk)
    upload = learn_name(token=upload.token, kind="colours", text="plain", means=made.rust.pk)
    seen = preview_of(upload, today=NEW_YEAR.date())[2].sorted

    told = []
    keep_large(
        **a_tap(now=NEW_YEAR),
        token=upload.token,
        shown=seen.digest,
        today=NEW_YEAR.date(),
        tell=lambda done, of, saying: told.append((done, of)),
        should_stop=lambda: False,
    )()

    assert told[-1] == (len(bought), len(bought))

    discs = Counter()
    for who, day, count in bought:
        discs[who, day] += count
    assert seen.to_mend == ()
    assert Order.objects.count() == len(discs)
    assert Customer.objects.count() == len({who for who, _ in discs})
    assert OrderLine.objects.aggregate(all=Sum("quantity"))["all"] == sum(discs.values())
    assert {
        (f"{one.ship_by:%Y%m%d}", one.customer.name) for one in Order.objects.select_related("customer")
    } == {(day, who) for who, day in discs}
    again = preview_of(read(), today=NEW_YEAR.date())[2].sorted
    assert (again.new, len(again.same)) == ((), len(discs))
