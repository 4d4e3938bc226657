"""Look for a better plan, as The week asked for it. Runs beside the server and in nobody's way."""

from __future__ import annotations

import os
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from builds.models import Improving
from builds.services.improving import improve_run

LOWEST_PRIORITY = 19


class Command(BaseCommand):
    help = "Carry out one search for a better plan, by its number. The week starts this itself."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("improving", type=int, help="the number of the search")

    def handle(self, *args: Any, **options: Any) -> None:
        if hasattr(os, "nice"):  # not on Windows
            os.nice(LOWEST_PRIORITY)
        try:
            ended = improve_run(options["improving"])
        except Improving.DoesNotExist as error:
            raise CommandError(f"There is no search {options['improving']}.") from error
        self.stdout.write(f"{ended.get_state_display()}: {ended.words}")
