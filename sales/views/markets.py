"""Pages: markets."""

from django.shortcuts import render


def market_list(request):
    return render(request, "base.html")
