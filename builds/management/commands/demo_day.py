"""Steps the demo forward by some days. Refuses in a workshop that is not the demo."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from builds.demo.stepping import LONGEST_DAYS, demo_step


class Command(BaseCommand):
    help = "Let some days go by in the demo, with what happens in them. Never in a real workshop."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--days", type=int, default=7, help=f"1 to {LONGEST_DAYS}; 7 if not given")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            said = demo_step(days=options["days"], today=timezone.localdate())
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        days = options["days"]
        self.stdout.write("1 day has gone by:" if days == 1 else f"{days} days have gone by:")
        for sentence in said:
            self.stdout.write(f"  {sentence}")
