import pytest

from production.planning.faults import ProblemFault, check_name, check_number, check_whole


def test_a_fault_is_a_value_error_that_carries_field_and_value():
    fault = ProblemFault("jug_g of compound Quick", -3, "a number above 0")

    assert isinstance(fault, ValueError)
    assert fault.field == "jug_g of compound Quick"
    assert fault.value == -3
    assert str(fault) == "jug_g of compound Quick must be a number above 0, not -3."


@pytest.mark.parametrize("value", [1.0, "1", None, True])
def test_only_whole_numbers_are_whole(value):
    check_whole("minutes", 1)
    with pytest.raises(ProblemFault, match="minutes must be a whole number, not"):
        check_whole("minutes", value)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -0.1, "2", None, False])
def test_numbers_are_finite_and_not_negative(value):
    check_number("ml", 0)
    with pytest.raises(ProblemFault, match="ml must be a number of at least 0, not"):
        check_number("ml", value)


@pytest.mark.parametrize("value", ["", "  ", 5, None])
def test_a_name_has_letters(value):
    check_name("article", "Tray")
    with pytest.raises(ProblemFault, match="article must be a name, not"):
        check_name("article", value)
