"""Addresses: the till."""

from django.urls import path

from sales.views import stall, visits

DAY = "stall/<int:day_id>/"

urlpatterns = [
    path(DAY, stall.stall, name="stall"),
    path(f"{DAY}add/", stall.stall_add, name="stall_add"),
    path(f"{DAY}number/", stall.stall_number, name="stall_number"),
    path(f"{DAY}lines/<int:place>/remove/", stall.stall_remove, name="stall_remove"),
    path(f"{DAY}lines/<int:place>/price/", stall.stall_price, name="stall_price"),
    path(f"{DAY}discount/", stall.stall_discount, name="stall_discount"),
    path(f"{DAY}clear/", stall.stall_clear, name="stall_clear"),
    path(f"{DAY}sell/", stall.stall_sell, name="stall_sell"),
    path(f"{DAY}asked-for/", visits.stall_asked, name="stall_asked"),
    path(f"{DAY}brought-back/", visits.stall_back, name="stall_back"),
    path(f"{DAY}brought-back/<int:line_id>/", visits.stall_refund, name="stall_refund"),
    path(f"{DAY}sales/", visits.stall_sales, name="stall_sales"),
]
