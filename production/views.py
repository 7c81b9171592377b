"""Pages of the app."""

from django.shortcuts import render


def yarn_list(request):
    return render(request, "base.html")


def string_list(request):
    return render(request, "base.html")


def basket_list(request):
    return render(request, "base.html")


def pair_list(request):
    return render(request, "base.html")


def tag_list(request):
    return render(request, "base.html")
