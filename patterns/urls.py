"""Addresses of the patterns app."""

from django.urls import path

from patterns.views import bench, book, cards, plan

app_name = "patterns"

urlpatterns = [
    path("patterns/", book.pattern_list, name="pattern_list"),
    path("patterns/cylinders/", bench.cylinder_list, name="cylinder_list"),
    path("patterns/gauges/", bench.swatch_list, name="swatch_list"),
    path("patterns/plan/", plan.pattern_plan, name="pattern_plan"),
    path("patterns/versions/<int:version_id>/card/", cards.row_card, name="row_card"),
    path(
        "patterns/versions/<int:version_id>/card/paper/",
        cards.row_card_paper,
        name="row_card_paper",
    ),
    path("patterns/<int:pattern_id>/", book.pattern_detail, name="pattern_detail"),
]
