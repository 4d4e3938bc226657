"""Which of the large tables were changed since they were last read, as the database itself tells.

Every page reads the whole workshop, and a press changes a handful of its rows. So each large table carries a
stamp, which a trigger renews with every change, whoever makes it and from whichever process. Stamps are drawn
at random, not counted up: a change that is taken back brings its old stamp back, and two equal stamps never
stand over different rows.

On SQLite only. On PostgreSQL people who write at the same time would wait for each other's stamps: there no
table has one, and all is read each time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from builds.models import Car, Job, JobLink, Need, Skill, TableStamp
from parts.models import Operation, Part, Process

NEW = "hex(randomblob(16))"


@dataclass(frozen=True)
class Watched:
    """A table, of which a row that is changed counts only where one of the fields named is."""

    name: str
    model: type[Model]
    fields: tuple[str, ...] = ()  # none: any of them

    def triggers(self) -> Iterator[tuple[str, str]]:
        """The name of each trigger, and what it hangs on."""
        changes = " OR ".join(f'OLD."{column}" IS NOT NEW."{column}"' for column in self._columns())
        for event in ("INSERT", "UPDATE", "DELETE"):
            when = f" WHEN {changes}" if changes and event == "UPDATE" else ""
            table = self.model._meta.db_table
            yield f"stamp_{self.name}_{event.lower()}", f'AFTER {event} ON "{table}"{when}'

    def _columns(self) -> list[str]:
        return [self.model._meta.get_field(name).column for name in self.fields]


CARS = Watched("cars", Car, ("name", "place", "handed_over_on"))
SKILLS = Watched("skills", Skill)
JOBS = Watched("jobs", Job)
CARS_OF_JOBS = Watched("cars_of_jobs", Job, ("car",))
LINKS = Watched("links", JobLink)
NEEDS = Watched("needs", Need)
PARTS = Watched("parts", Part)
PROCESSES = Watched("processes", Process)
LINES = Watched("lines", Operation)
JOBS_BEFORE_LINES = Watched("jobs_before_lines", Operation.after_jobs.through)

TABLES = (
    CARS,
    SKILLS,
    JOBS,
    CARS_OF_JOBS,
    LINKS,
    NEEDS,
    PARTS,
    PROCESSES,
    LINES,
    JOBS_BEFORE_LINES,
)


def stamps_now() -> dict[str, str]:
    """The stamp of each table by its name: one query. None of those whose changes are not watched."""
    return dict(TableStamp.objects.values_list("name", "stamp"))


def watch_tables(using: str, **_: Any) -> None:
    """After `migrate`: hang a trigger on each table and give it a stamp."""
    connection = connections[using]
    table = TableStamp._meta.db_table
    if not _can_watch(connection):
        return
    _take_down(connection)
    with connection.cursor() as cursor:
        for watched in TABLES:
            # updated, not replaced: what a statement says of conflicts also holds for its triggers
            renew = f"UPDATE {table} SET stamp = {NEW} WHERE name = '{watched.name}'"
            for name, on in watched.triggers():
                cursor.execute(f"CREATE TRIGGER {name} {on} BEGIN {renew}; END")
            cursor.execute(f"INSERT INTO {table} (name, stamp) VALUES ('{watched.name}', {NEW})")


def stop_watching(using: str, **_: Any) -> None:
    """Before `migrate`, which makes tables anew and so drops their triggers: until it ends all is read."""
    connection = connections[using]
    if _can_watch(connection):
        _take_down(connection)


def _can_watch(connection: BaseDatabaseWrapper) -> bool:
    """On SQLite, and not while the table of stamps is still to be made."""
    tables = connection.introspection.table_names
    return connection.vendor == "sqlite" and TableStamp._meta.db_table in tables()


def _take_down(connection: BaseDatabaseWrapper) -> None:
    """No stamps first, so that at no moment a table is without triggers but has a stamp."""
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {TableStamp._meta.db_table}")
        for watched in TABLES:
            for name, _on in watched.triggers():
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
