"""Addresses of production."""

from production.urls import baskets, pairs, strings, tags, yarn

app_name = "production"

urlpatterns = [
    *baskets.urlpatterns,
    *pairs.urlpatterns,
    *strings.urlpatterns,
    *tags.urlpatterns,
    *yarn.urlpatterns,
]
