"""Pages: pairs."""

from django.shortcuts import render


def pair_list(request):
    return render(request, "base.html")
