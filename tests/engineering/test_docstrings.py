"""A docstring of a core that names a parameter its function does not have would mislead."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator

import pytest

import engineering.loom
import engineering.tank
import engineering.weight


def _public() -> Iterator[tuple[str, object]]:
    for package in (engineering.tank, engineering.loom, engineering.weight):
        for found in pkgutil.iter_modules(package.__path__, package.__name__ + "."):
            module = importlib.import_module(found.name)
            for name, thing in vars(module).items():
                own = getattr(thing, "__module__", None) == module.__name__
                if own and not name.startswith("_") and (inspect.isfunction(thing) or inspect.isclass(thing)):
                    yield f"{module.__name__}.{name}", thing


@pytest.mark.parametrize(
    ("name", "thing"), list(_public()), ids=lambda value: value if isinstance(value, str) else ""
)
def test_docstrings_name_the_parameters_there_are(name, thing):
    text = inspect.getdoc(thing) or ""
    assert text, f"{name} says nothing about itself"
    block = re.search(r"Parameters\n-+\n(.*?)(\n\n[A-Z][a-z]+\n-+\n|\Z)", text, re.DOTALL)
    named = re.findall(r"^(\w[\w, ]*) : ", block[1], re.MULTILINE) if block else []
    documented = {part.strip() for line in named for part in line.split(",")}
    if inspect.isfunction(thing) or documented:
        assert documented == set(inspect.signature(thing).parameters), name
