"""Addresses: what is out, and goods out, goods in and promises."""

from django.urls import path

from builds.views import calls, deliveries, labels, waiting

urlpatterns = [
    path("waiting/", waiting.waiting, name="waiting"),
    path("waiting/chase-list/", waiting.chase_list, name="chase-list"),
    path("suppliers/<int:supplier_id>/calls/new/", calls.call_new, name="call-new"),
    path("goods-in/", deliveries.deliveries, name="deliveries"),
    path("label/<str:workshop_code>/<str:part_code>/", labels.label, name="label"),
    path("operations/<int:operation_id>/note.pdf", labels.operation_note, name="operation-note"),
    path("operations/<int:operation_id>/labels.pdf", labels.operation_labels, name="operation-labels"),
    path("operations/<int:operation_id>/goods-in/", waiting.goods_in, name="goods-in"),
    path("operations/<int:operation_id>/goods-out/", waiting.goods_out, name="goods-out"),
    path("operations/<int:operation_id>/promise/", waiting.operation_promise, name="operation-promise"),
    path("operations/<int:operation_id>/missing/", waiting.pieces_missing, name="pieces-missing"),
    path("parts/<int:part_id>/together/", waiting.pieces_together, name="pieces-together"),
    path("operations/<int:operation_id>/take-back/", waiting.operation_take_back, name="operation-take-back"),
]
