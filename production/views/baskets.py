"""Pages: baskets."""

from django.shortcuts import render


def basket_list(request):
    return render(request, "base.html")
