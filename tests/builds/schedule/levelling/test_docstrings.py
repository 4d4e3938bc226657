"""Every public function of levelling says what each of its parameters is."""

import importlib
import inspect
import pkgutil
import re

import pytest

import builds.schedule.levelling as package

MODULES = [
    importlib.import_module(module.name)
    for module in pkgutil.iter_modules(package.__path__, f"{package.__name__}.")
]


def public_functions():
    for module in MODULES:
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(thing):
                yield pytest.param(thing, id=f"{module.__name__}.{name}")


def documented(docstring):
    found = re.search(r"^Parameters\n-+\n(.*?)(?=^\w[\w ]*\n-+$|\Z)", docstring, re.S | re.M)
    names = re.findall(r"^([*\w, ]+?)(?: : .*)?$", found.group(1), re.M) if found else []
    return [name.strip() for line in names for name in line.split(",") if line]


@pytest.mark.parametrize("function", list(public_functions()))
def test_the_docstring_names_the_parameters_of_the_signature(function):
    assert documented(inspect.getdoc(function)) == list(inspect.signature(function).parameters)
