"""Addresses: tags and the papers of production."""

from django.urls import path

from production.views import tags as views

urlpatterns = [
    path("tags/", views.tag_list, name="tag_list"),
    path("tags/on/", views.tag_on, name="tag_on"),
    path("tags/print.pdf", views.tag_pdf, name="tag_pdf"),
    path("tags/print/", views.tag_print, name="tag_print"),
    path("tags/print.css", views.tag_css, name="tag_css"),
    path("tags/sheets/", views.tag_sheet_list, name="tag_sheet_list"),
    path("tags/reprint/P<int:number>.pdf", views.tag_reprint, name="tag_reprint"),
    path("tags/shelf-cards.pdf", views.shelf_cards, name="shelf_cards"),
    path("strings/<int:number>/slip.pdf", views.string_slip, name="string_slip"),
]
