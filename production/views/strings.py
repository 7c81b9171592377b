"""Pages: strings."""

from django.shortcuts import render


def string_list(request):
    return render(request, "base.html")
