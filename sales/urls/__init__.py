"""Addresses of sales."""

from sales.urls import markets, orders, sells, shelf, stall, sync

app_name = "sales"

urlpatterns = [
    *markets.urlpatterns,
    *orders.urlpatterns,
    *sells.urlpatterns,
    *shelf.urlpatterns,
    *stall.urlpatterns,
    *sync.urlpatterns,
]
