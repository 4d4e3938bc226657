from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class BuildsConfig(AppConfig):
    name = "builds"

    def ready(self) -> None:
        pre_migrate.connect(_stop_watching, sender=self)
        post_migrate.connect(_watch_tables, sender=self)


def _stop_watching(**kwargs: Any) -> None:
    from .stamps import stop_watching

    stop_watching(**kwargs)


def _watch_tables(**kwargs: Any) -> None:
    from .stamps import watch_tables

    watch_tables(**kwargs)
