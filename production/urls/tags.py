"""Addresses: tags and the papers of production."""

from django.urls import path

from production.views import papers, tags, tagways

urlpatterns = [
    path("tags/", tags.tag_list, name="tag_list"),
    path("tags/on/", tags.tag_on, name="tag_on"),
    path("tags/start/", tags.tag_start, name="tag_start"),
    path("tags/print.pdf", tags.tag_pdf, name="tag_pdf"),
    path("tags/print/", tags.tag_print, name="tag_print"),
    path("tags/print.css", tags.tag_css, name="tag_css"),
    path("tags/reprint/P<int:number>.pdf", tags.tag_reprint, name="tag_reprint"),
    path("tags/sheets/", tagways.tag_sheet_list, name="tag_sheet_list"),
    path("tags/words/", tagways.tag_habits, name="tag_habits"),
    path("tags/prints/<int:pk>/", tagways.long_print, name="long_print"),
    path("tags/prints/<int:pk>/go-on/", tagways.long_print_go_on, name="long_print_go_on"),
    path("tags/prints/<int:pk>/stop/", tagways.long_print_stop, name="long_print_stop"),
    path("tags/prints/<int:pk>/tags.pdf", tagways.long_print_pdf, name="long_print_pdf"),
    path("tags/shelf-cards.pdf", papers.shelf_cards, name="shelf_cards"),
    path("tags/price-board.pdf", papers.price_board, name="price_board"),
    path("tags/count-sheet.pdf", papers.count_sheet, name="count_sheet"),
    path("tags/care-cards.pdf", papers.care_cards, name="care_cards"),
    path("strings/<int:number>/slip.pdf", papers.string_slip, name="string_slip"),
]
