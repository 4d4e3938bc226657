"""Every public function of levelling says what each of its parameters is."""

import pytest

import builds.schedule.levelling
from tests.docstrings import documented_parameters, public_callables, taken_parameters


@pytest.mark.parametrize("function", list(public_callables(builds.schedule.levelling, with_methods=False)))
def test_the_docstring_names_the_parameters_of_the_signature(function):
    assert documented_parameters(function) == taken_parameters(function)
