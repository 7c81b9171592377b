"""Addresses: pairs, mating, prices, and the stories of pairs and socks."""

from django.urls import path

from production.views import pairs as views
from production.views import stories

urlpatterns = [
    path("pairs/", views.pair_list, name="pair_list"),
    path("pairs/mate/", views.mating, name="mating"),
    path("pairs/mate/by-hand/", views.mate_by_hand, name="mate_by_hand"),
    path("pairs/prices/", views.price_list, name="price_list"),
    path("pairs/prices/<int:pattern_id>/", views.price_change, name="price_change"),
    path("pairs/P<int:number>/", stories.pair_detail, name="pair_detail"),
    path("pairs/P<int:number>/split/", stories.pair_split, name="pair_split"),
    path("strings/<int:number>/<int:position>/", stories.sock_detail, name="sock_detail"),
    path("strings/<int:number>/<int:position>/note/", stories.sock_note, name="sock_note"),
    path("strings/<int:number>/<int:position>/back/", stories.sock_back, name="sock_back"),
    path("strings/<int:number>/<int:position>/measure/", stories.sock_measure, name="sock_measure"),
]
