"""Addresses: sells."""

from django.urls import path

from sales.views import sells as views

urlpatterns = [
    path("sells/", views.sells, name="sells"),
    path("sells/sales/", views.sells_detail, name="sells_detail"),
    path("sells/sizes.csv", views.sells_csv, name="sells_csv"),
]
