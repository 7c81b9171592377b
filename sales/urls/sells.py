"""Addresses: what sells, what to make, the season, prices and sheets."""

from django.urls import path

from sales.views import making, pricing, season, sheets
from sales.views import sells as views

urlpatterns = [
    path("sells/", views.sells, name="sells"),
    path("sells/sales/", views.sells_detail, name="sells_detail"),
    path("sells/sizes.csv", views.sells_csv, name="sells_csv"),
    path("sells/by/<slug:by>/", views.sells_by, name="sells_by"),
    path("sells/by/<slug:by>.csv", views.sells_by_csv, name="sells_by_csv"),
    path("sells/make/", making.make, name="make"),
    path("sells/make/list.csv", making.make_csv, name="make_csv"),
    path("sells/season/", season.season, name="season"),
    path("sells/season/end/", season.season_end, name="season_end"),
    path("sells/season/designs/", season.season_design_end, name="season_design_end"),
    path("sells/season/plan.csv", season.season_csv, name="season_csv"),
    path("sells/prices/", pricing.prices, name="prices"),
    path("sells/prices/list.csv", pricing.prices_csv, name="prices_csv"),
    path("sells/prices/<int:pattern_id>/", pricing.price_detail, name="price_detail"),
    path("sells/figures/", pricing.figures, name="figures"),
    path("sells/sheets/", sheets.sheets, name="sheets"),
    path("sells/sheets/season/", sheets.season_sheet, name="season_sheet"),
    path("sells/sheets/stock/", sheets.stock_sheet, name="stock_sheet"),
    path("sells/sheets/stock.csv", sheets.stock_csv, name="stock_csv"),
    path("sells/sheets/takings/", sheets.takings_sheet, name="takings_sheet"),
    path("sells/sheets/takings.csv", sheets.takings_csv, name="takings_csv"),
]
