"""Addresses: the till on the phone. All lie under the worker's scope."""

from django.urls import path

from sales.views import sync

urlpatterns = [
    path("stall/till/", sync.till_shell, name="till_shell"),
    path("stall/sw.js", sync.till_worker, name="till_worker"),
    path("stall/till.webmanifest", sync.till_manifest, name="till_manifest"),
    path("stall/days.json", sync.till_days, name="till_days"),
    path("stall/<int:day_id>/till.json", sync.till_json, name="till_json"),
    path("stall/<int:day_id>/acts/", sync.till_acts, name="till_acts"),
]
