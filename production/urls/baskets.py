"""Addresses: baskets and loads."""

from django.urls import path

from production.views import baskets as views
from production.views import loads

urlpatterns = [
    path("baskets/", views.basket_list, name="basket_list"),
    path("baskets/loads/", loads.load_list, name="load_list"),
    path("baskets/loads/<int:number>/", loads.load_detail, name="load_detail"),
    path("baskets/loads/lots/<int:lot_id>/", loads.lot_dark, name="lot_dark"),
    path("baskets/<slug:key>/", views.basket_detail, name="basket_detail"),
]
