"""What the docstrings of a core name, for the tests that hold them to the signatures."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from types import ModuleType
from typing import Any

import pytest


def public_callables(*packages: ModuleType, with_methods: bool = True) -> Iterator[Any]:
    """Public functions, and methods unless told not to, of the modules below the packages, as parameters."""
    for package in packages:
        for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            yield from _of_module(importlib.import_module(found.name), with_methods)


def _of_module(module: ModuleType, with_methods: bool) -> Iterator[Any]:
    for name, thing in vars(module).items():
        if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
            continue
        if inspect.isfunction(thing):
            yield pytest.param(thing, id=f"{module.__name__}.{name}")
        if with_methods and inspect.isclass(thing):
            for method, value in vars(thing).items():
                function = getattr(value, "__func__", value)
                if inspect.isfunction(function) and not method.startswith("_"):
                    yield pytest.param(function, id=f"{module.__name__}.{name}.{method}")


def documented_parameters(function: Any) -> list[str]:
    """Names under the heading Parameters, in their order."""
    text = inspect.getdoc(function)
    assert text, "it says nothing about itself"
    found = re.search(r"^Parameters\n-+\n(.*?)(?=^\w[\w ]*\n-+$|\Z)", text, re.S | re.M)
    names = re.findall(r"^([*\w, ]+?)(?: : .*)?$", found.group(1), re.M) if found else []
    return [name.strip().lstrip("*") for line in names for name in line.split(",") if line]


def taken_parameters(function: Any) -> list[str]:
    return [name for name in inspect.signature(function).parameters if name not in ("self", "cls")]
