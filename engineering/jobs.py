"""The one place where calc sheets reach the jobs they belong to: this app may not import `builds`."""

from typing import Any

from django.apps import apps
from django.shortcuts import get_object_or_404


def job_or_404(job_id: int) -> Any:
    """The job with its car, as one query."""
    return get_object_or_404(apps.get_model("builds", "Job").objects.select_related("car"), pk=job_id)
