"""Every public function of the cores says what each of its parameters is."""

import importlib
import inspect
import pkgutil
import re

import pytest

import parts.batching
import parts.trade

MODULES = [
    importlib.import_module(found.name)
    for core in (parts.batching, parts.trade)
    for found in pkgutil.iter_modules(core.__path__, f"{core.__name__}.")
]


def public_callables():
    for module in MODULES:
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(thing):
                yield pytest.param(thing, id=f"{module.__name__}.{name}")
            if inspect.isclass(thing):
                for method, value in vars(thing).items():
                    function = getattr(value, "__func__", value)
                    if inspect.isfunction(function) and not method.startswith("_"):
                        yield pytest.param(function, id=f"{module.__name__}.{name}.{method}")


def documented(docstring, section):
    found = re.search(rf"^{section}\n-+\n(.*?)(?=^\w[\w ]*\n-+$|\Z)", docstring, re.S | re.M)
    names = re.findall(r"^([*\w, ]+?)(?: : .*)?$", found.group(1), re.M) if found else []
    return [name.strip().lstrip("*") for line in names for name in line.split(",") if line]


@pytest.mark.parametrize("function", list(public_callables()))
def test_the_docstring_names_the_parameters_of_the_signature(function):
    taken = [name for name in inspect.signature(function).parameters if name not in ("self", "cls")]
    assert documented(inspect.getdoc(function), "Parameters") == taken
