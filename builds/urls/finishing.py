"""Addresses: finishing."""

from django.urls import URLPattern, path

from builds.views import finishing, labels

urlpatterns: list[URLPattern] = [
    path("finishing/", finishing.finishing, name="finishing"),
    path("finishing/batches/new/", finishing.batch_new, name="batch-new"),
    path("finishing/batches/<int:batch_id>/", finishing.batch, name="batch"),
    path("finishing/batches/<int:batch_id>/change/", finishing.batch_change, name="batch-change"),
    path("finishing/batches/<int:batch_id>/send/", finishing.batch_send, name="batch-send"),
    path("finishing/batches/<int:batch_id>/take-back/", finishing.batch_take_back, name="batch-take-back"),
    path("finishing/batches/<int:batch_id>/dissolve/", finishing.batch_dissolve, name="batch-dissolve"),
    path("finishing/batches/<int:batch_id>/note.pdf", labels.batch_note, name="batch-note"),
    path("finishing/batches/<int:batch_id>/labels.pdf", labels.batch_labels, name="batch-labels"),
]
