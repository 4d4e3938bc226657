"""Every public function of the core says what each of its parameters is."""

import pytest

import builds.schedule
from tests.docstrings import documented_parameters, public_callables, taken_parameters


@pytest.mark.parametrize("function", list(public_callables(builds.schedule)))
def test_the_docstring_names_the_parameters_of_the_signature(function):
    assert documented_parameters(function) == taken_parameters(function)
