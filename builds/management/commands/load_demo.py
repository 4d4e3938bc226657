"""Fills an empty workshop with the demo and prints the logins. Does nothing to a workshop that has data."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from builds.demo.cast import PEOPLE
from builds.demo.loading import demo_load
from builds.models import Workshop


class Command(BaseCommand):
    help = "Fill an empty workshop with the demo workshop; print its logins."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--logins", action="store_true", help="only print the logins, if this is the demo"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["logins"]:
            try:
                demo_load(timezone.localdate())
            except ValidationError as error:
                self.stdout.write(" ".join(error.messages))
        if Workshop.objects.current().is_demo:
            self._print_logins()

    def _print_logins(self) -> None:
        self.stdout.write("Demo logins (invented people):")
        for person in PEOPLE:
            word = "password" if person.role == "manager" else "PIN"
            self.stdout.write(f"  {person.role:8} {person.name:14} {word} {person.secret}")
