"""Addresses: markets, their days, packing and the tray."""

from django.urls import path

from sales.views import markets, packing, sorting

DAY = "markets/days/<int:day_id>/"

urlpatterns = [
    path("markets/", markets.market_list, name="market_list"),
    path("markets/new/", markets.market_add, name="market_add"),
    path("markets/<int:market_id>/edit/", markets.market_edit, name="market_edit"),
    path("markets/<int:market_id>/days/new/", markets.day_plan, name="day_plan"),
    path("markets/to-sort-out/", sorting.sort_list, name="sort_list"),
    path("markets/to-sort-out/<int:item_id>/", sorting.sort_settle, name="sort_settle"),
    path(DAY, markets.day_detail, name="day_detail"),
    path(f"{DAY}cancel/", markets.day_cancel, name="day_cancel"),
    path(f"{DAY}restore/", markets.day_restore, name="day_restore"),
    path(f"{DAY}open/", markets.day_open, name="day_open"),
    path(f"{DAY}close/", markets.day_close, name="day_close"),
    path(f"{DAY}pack/", packing.day_pack, name="day_pack"),
    path(f"{DAY}pack/numbers/", packing.day_pack_numbers, name="day_pack_numbers"),
    path(f"{DAY}pack/take-out/", packing.day_unpack, name="day_unpack"),
    path(f"{DAY}pack/list/", packing.day_pack_list, name="day_pack_list"),
    path(f"{DAY}tally/", packing.day_tally, name="day_tally"),
]
