"""Addresses: markets, their calendar and days, packing, papers and the tray."""

from django.urls import path

from sales.views import calendar, days, markets, packing, paper, receipts, sorting

DAY = "markets/days/<int:day_id>/"

urlpatterns = [
    path("markets/", markets.market_list, name="market_list"),
    path("markets/new/", markets.market_add, name="market_add"),
    path("markets/<int:market_id>/edit/", markets.market_edit, name="market_edit"),
    path("markets/<int:market_id>/days/new/", markets.day_plan, name="day_plan"),
    path("markets/<int:market_id>/tax/", markets.market_tax, name="market_tax"),
    path("markets/calendar/", calendar.market_calendar, name="market_calendar"),
    path("markets/calendar/renew/", calendar.calendar_renew, name="calendar_renew"),
    path("calendar/<str:token>.ics", calendar.calendar_feed, name="calendar_feed"),
    path("receipts/<int:sale_id>/", receipts.receipt, name="receipt"),
    path("markets/to-sort-out/", sorting.sort_list, name="sort_list"),
    path("markets/to-sort-out/<int:item_id>/", sorting.sort_settle, name="sort_settle"),
    path("markets/to-sort-out/<int:item_id>/cure/", sorting.sort_cure, name="sort_cure"),
    path("markets/to-sort-out/kept/<int:row_id>/", sorting.sort_kept, name="sort_kept"),
    path(DAY, days.day_detail, name="day_detail"),
    path(f"{DAY}edit/", days.day_edit, name="day_edit"),
    path(f"{DAY}cancel/", days.day_cancel, name="day_cancel"),
    path(f"{DAY}restore/", days.day_restore, name="day_restore"),
    path(f"{DAY}home/", days.day_home, name="day_home"),
    path(f"{DAY}open/", days.day_open, name="day_open"),
    path(f"{DAY}close/", days.day_close, name="day_close"),
    path(f"{DAY}missing/<int:line_id>/", days.day_cure, name="day_cure"),
    path(f"{DAY}too-many/<int:line_id>/found/", days.day_found, name="day_found"),
    path(f"{DAY}too-many/<int:line_id>/slip/", days.day_slip, name="day_slip"),
    path(f"{DAY}pack/", packing.day_pack, name="day_pack"),
    path(f"{DAY}pack/numbers/", packing.day_pack_numbers, name="day_pack_numbers"),
    path(f"{DAY}pack/take-out/", packing.day_unpack, name="day_unpack"),
    path(f"{DAY}pack/list/", paper.day_pack_list, name="day_pack_list"),
    path(f"{DAY}tally/", paper.day_tally, name="day_tally"),
    path(f"{DAY}sheet/", paper.day_sheet, name="day_sheet"),
    path(f"{DAY}paper/", paper.day_paper, name="day_paper"),
    path(f"{DAY}paper/stubs/", paper.day_paper_stubs, name="day_paper_stubs"),
]
