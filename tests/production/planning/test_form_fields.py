import pytest

from production.planning.faults import ProblemFault
from production.planning.form_fields import Fields, read_all, read_named


def test_paths_lead_through_objects_and_lists():
    fields = Fields("", {"a": {"b": [{"c": "x"}]}})

    with pytest.raises(ProblemFault, match=r"a\.b\[0\]\.c must be a whole number, not 'x'"):
        read_all(fields.part("a"), "b", lambda row: row.whole("c"))


def test_numbers_written_with_a_point_are_whole_if_they_are():
    fields = Fields("", {"a": 5.0, "b": 5.5, "c": True})

    assert fields.whole("a") == 5
    for name in "bc":
        with pytest.raises(ProblemFault):
            fields.whole(name)


def test_hours_become_minutes():
    assert Fields("", {"a": 36.5}).hours("a") == 2190


def test_ids_that_look_like_numbers_are_taken_as_text():
    assert Fields("", {"a": 107}).text("a") == "107"
    with pytest.raises(ProblemFault, match="a must be a name, not None"):
        Fields("", {"a": None}).text("a")


def test_named_objects_are_read_with_their_names():
    fields = Fields("", {"moulds": {"pot": {"copies": 2}, "tray": {"copies": 3}}})

    assert read_named(fields, "moulds", lambda name, one: (name, one.whole("copies"))) == (
        ("pot", 2),
        ("tray", 3),
    )
