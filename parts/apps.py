from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class PartsConfig(AppConfig):
    name = "parts"

    def ready(self) -> None:
        # After migrate, as Django itself does for content types: an empty workshop has its processes.
        post_migrate.connect(_load_reference, sender=self)


def _load_reference(**kwargs: Any) -> None:
    from .reference import reference_load

    reference_load()
