"""Addresses: shelf."""

from django.urls import path

from sales.views import shelf as views

urlpatterns = [
    path("shelf/", views.shelf, name="shelf"),
    path("shelf/count/", views.shelf_count, name="shelf_count"),
    path("shelf/count/numbers/", views.shelf_scan, name="shelf_scan"),
    path("shelf/count/<int:act_id>/", views.shelf_count_result, name="shelf_count_result"),
    path("shelf/count/<int:act_id>/missing/", views.shelf_missing, name="shelf_missing"),
    path("shelf/count/<int:act_id>/found/", views.shelf_found, name="shelf_found"),
]
