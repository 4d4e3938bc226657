"""`manage.py add_manager`: the first person of an empty workshop, who then enters the others."""

import getpass
import sys
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management import CommandError
from django.core.management.base import BaseCommand


class Command(BaseCommand):
    help = "Add somebody who may sign in with a password and change everything."
    requires_system_checks = []  # `serve` tells what the computer lacks

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--name", help="asked for when left out")

    def handle(self, *args: Any, **options: Any) -> None:
        people = get_user_model()
        try:
            name = options["name"] or input("Name: ")
            password = _ask_password()
        except (EOFError, KeyboardInterrupt) as error:
            raise CommandError("Nobody was added.") from error
        person = people(name=name.strip(), role=people.Role.MANAGER)
        try:
            person.full_clean(exclude=["password"])
            validate_password(password, person)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        people.objects.create_person(name=person.name, secret=password, role=person.role)
        self.stdout.write(f"{person.name} can sign in now.")


def _ask_password() -> str:
    """Typed twice without being shown, or piped in once."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass.getpass("Password (10 characters or more): ")
    if getpass.getpass("The same again: ") != password:
        raise CommandError("The two passwords differ; nobody was added.")
    return password
