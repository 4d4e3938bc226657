"""Addresses, grouped by thing."""

from . import (
    accounts,
    answers,
    cars,
    exports,
    feeds,
    finishing,
    jobs,
    orders,
    parts,
    people,
    rules,
    search,
    start,
    suppliers,
    today,
    waiting,
)

urlpatterns = [
    *cars.urlpatterns,
    *jobs.urlpatterns,
    *today.urlpatterns,
    *waiting.urlpatterns,
    *finishing.urlpatterns,
    *answers.urlpatterns,
    *orders.urlpatterns,
    *parts.urlpatterns,
    *suppliers.urlpatterns,
    *people.urlpatterns,
    *rules.urlpatterns,
    *start.urlpatterns,
    *exports.urlpatterns,
    *feeds.urlpatterns,
    *search.urlpatterns,
    *accounts.urlpatterns,
]
