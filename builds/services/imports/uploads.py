"""Files kept between the look at an import and its confirmation, and the signed slip of whose they are.

The browser carries only the slip. The files themselves stay here and are read afresh at the confirmation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import timedelta
from uuid import uuid4

from django.core import signing
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from builds.importing.faults import FileRefused
from builds.models import Person

from .plan import ListFiles

FOLDER = "imports"
KEPT_FOR = timedelta(hours=12)  # a working day
GONE = (
    "These lists are no longer kept here: they were added already, or were sent too long ago. "
    "Nothing was changed. Send the files again if their rows are missing."
)


@dataclass(frozen=True)
class Slip:
    """What was looked at. `car_id` is None where a car is to be started, as typed in `new_car`."""

    job_list: str  # names of kept files; empty where none was sent
    parts_list: str
    car_id: int | None
    new_car: Mapping[str, str]
    may_add_names: bool
    person_id: int

    def signed(self) -> str:
        return signing.dumps(asdict(self), salt=FOLDER, compress=True)


def slip_read(text: str, by: Person) -> Slip:
    """The slip as it was signed. Raises FileRefused if it was changed, is too old, or is somebody else's."""
    try:
        slip = Slip(**signing.loads(text, salt=FOLDER, max_age=KEPT_FOR))
    except signing.BadSignature as fault:
        raise FileRefused(GONE) from fault
    if slip.person_id != by.pk:
        raise FileRefused("These lists were sent by somebody else. Send the files yourself.")
    return slip


def files_keep(files: ListFiles) -> tuple[str, str]:
    """Store what was sent, under names of our own, and throw away what nobody confirmed in time."""
    _old_remove()
    return _keep(files.job_list), _keep(files.parts_list)


def files_read(slip: Slip) -> ListFiles:
    """The files of the slip. Raises FileRefused if they are gone."""
    return ListFiles(_read(slip.job_list), _read(slip.parts_list))


def files_remove(slip: Slip) -> None:
    for name in filter(None, (slip.job_list, slip.parts_list)):
        default_storage.delete(name)


def _keep(content: bytes | None) -> str:
    if content is None:
        return ""
    return default_storage.save(f"{FOLDER}/{uuid4().hex}", ContentFile(content))


def _read(name: str) -> bytes | None:
    if not name:
        return None
    try:
        with default_storage.open(name) as file:
            return file.read()
    except FileNotFoundError as fault:
        raise FileRefused(GONE) from fault


def _old_remove() -> None:
    if not default_storage.exists(FOLDER):
        return
    for name in default_storage.listdir(FOLDER)[1]:
        path = f"{FOLDER}/{name}"
        if default_storage.get_modified_time(path) < timezone.now() - KEPT_FOR:
            default_storage.delete(path)
