"""Pages of the app."""

from django.shortcuts import render


def pattern_list(request):
    return render(request, "base.html")
