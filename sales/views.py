"""Pages of the app."""

from django.shortcuts import render


def shelf(request):
    return render(request, "base.html")


def market_list(request):
    return render(request, "base.html")


def order_list(request):
    return render(request, "base.html")


def sells(request):
    return render(request, "base.html")
